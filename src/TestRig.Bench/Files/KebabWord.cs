using System.Text.Json;

namespace TestRig.Bench.Files;

/// <summary>The values of an enumeration as every record for other programs has them: "stuck-high".</summary>
internal static class KebabWord
{
    public static string Of<T>(T value)
        where T : struct, Enum => JsonNamingPolicy.KebabCaseLower.ConvertName(value.ToString());
}
