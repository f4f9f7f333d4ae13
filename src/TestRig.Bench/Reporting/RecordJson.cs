using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using System.Text.Json.Serialization.Metadata;

namespace TestRig.Bench.Reporting;

/// <summary>How everything that other programs read is written as JSON.</summary>
internal static class RecordJson
{
    /// <summary>An instant as every record has it: RFC 3339, to the millisecond, with the offset of the bench.</summary>
    public static string Instant(DateTimeOffset instant) => instant.ToString("yyyy-MM-dd'T'HH:mm:ss.fffzzz", CultureInfo.InvariantCulture);

    public static JsonSerializerOptions Options { get; } = new()
    {
        WriteIndented = true,
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower) },
        // The schema is made of the same types.
        TypeInfoResolver = new DefaultJsonTypeInfoResolver(),
        // Read by people and programs, never put into a page as it is: µ and ± stay legible.
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };
}
