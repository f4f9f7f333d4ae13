using System.Text.Json;

namespace TestRig.Bench.Exporting;

/// <summary>The values of an enumeration in a table, as in every record for other programs: "stuck-high".</summary>
internal static class ExportWord
{
    public static string Of<T>(T value)
        where T : struct, Enum => JsonNamingPolicy.KebabCaseLower.ConvertName(value.ToString());
}
