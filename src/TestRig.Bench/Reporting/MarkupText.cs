using System.Text;
using System.Xml;

namespace TestRig.Bench.Reporting;

/// <summary>Text as XML 1.0 and HTML can hold it: they have no way to write most control characters, which a name in a profile may hold.</summary>
internal static class MarkupText
{
    /// <summary>What cannot be written becomes the replacement character. Escaping is the writer's affair.</summary>
    public static string Permitted(string text)
    {
        var permitted = new StringBuilder(text.Length);
        foreach (var rune in text.EnumerateRunes())
            permitted.Append(rune.IsBmp && !XmlConvert.IsXmlChar((char)rune.Value) ? "\uFFFD" : rune.ToString());
        return permitted.ToString();
    }
}
