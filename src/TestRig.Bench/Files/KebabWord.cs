using System.Text.Json;

namespace TestRig.Bench.Files;

/// <summary>The values of an enumeration as every record for other programs has them: "stuck-high".</summary>
public static class KebabWord
{
    public static string Of<T>(T value)
        where T : struct, Enum => JsonNamingPolicy.KebabCaseLower.ConvertName(value.ToString());

    /// <summary>All of them, in the order of the enumeration.</summary>
    public static IEnumerable<string> All<T>()
        where T : struct, Enum => Enum.GetValues<T>().Select(Of);

    /// <summary>Null where it is none of them.</summary>
    public static T? Read<T>(string word)
        where T : struct, Enum => Enum.GetValues<T>().Cast<T?>().FirstOrDefault(value => Of(value!.Value) == word);
}
