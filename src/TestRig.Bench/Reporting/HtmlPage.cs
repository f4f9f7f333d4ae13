using System.Xml.Linq;

namespace TestRig.Bench.Reporting;

/// <summary>What every page is made of: one file that needs no other, no network and no scripts, and prints.</summary>
internal static class HtmlPage
{
    /// <param name="style">Without &gt; and &amp;: a browser reads a style as it stands, without entities.</param>
    /// <param name="body">A header and a footer stand outside the main landmark, all else in it.</param>
    public static string Write(string title, string style, params object?[] body)
    {
        IEnumerable<object?> Only(string name) => body.Where(part => part is XElement element && element.Name.LocalName == name);
        var page = Tag("html",
            new XAttribute("lang", "en"),
            Tag("head",
                Tag("meta", new XAttribute("charset", "utf-8")),
                Tag("meta", new XAttribute("name", "viewport"), new XAttribute("content", "width=device-width, initial-scale=1")),
                Tag("title", title),
                Tag("style", style + "\n" + OfTables)),
            Tag("body", Only("header"), Tag("main", body.Where(part => part is not XElement { Name.LocalName: "header" or "footer" })), Only("footer")));
        foreach (var table in page.Descendants("table").ToList())
            table.ReplaceWith(Wide(table));
        return "<!DOCTYPE html>\n" + page.ToString(SaveOptions.DisableFormatting) + "\n";
    }

    /// <summary>Elements that another page takes in; nothing of nothing.</summary>
    public static string Fragment(params object?[] content)
    {
        var part = Tag("div", content);
        foreach (var table in part.Descendants("table").ToList())
            table.ReplaceWith(Wide(table));
        return string.Concat(part.Nodes().Select(node => node.ToString(SaveOptions.DisableFormatting)));
    }

    /// <summary>An element; texts are escaped by the writer. An empty text keeps its end tag, which HTML needs.</summary>
    public static XElement Tag(string name, params object?[] content) =>
        new(name, content.Select(item => item is string text ? new XText(MarkupText.Permitted(text)) : item));

    public static XElement Row(string cell, params string[] texts) => Tag("tr", texts.Select(text => Tag(cell, text)));

    public static XAttribute Id(string id) => new("id", id);

    public static XAttribute Class(string name) => new("class", name);

    /// <summary>Where the window is narrower than the table, the table moves sideways in it, by keys too (WCAG 2.2, 1.4.10 and 2.1.1), and the page stays.</summary>
    private static XElement Wide(XElement table) => Tag("div",
        Class("wide"),
        new XAttribute("role", "group"),
        new XAttribute("tabindex", "0"),
        new XAttribute("aria-label", table.Element("caption")?.Value ?? "Table"),
        new XElement(table));

    private const string OfTables = """
        @media screen and (max-width: 60rem) { .wide { overflow-x: auto; } }
        """;
}
