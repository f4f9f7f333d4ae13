using System.Xml.Linq;
using TestRig.Bench.Adapters;
using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;
using static TestRig.Bench.Reporting.HtmlPage;

namespace TestRig.Bench.Reporting;

/// <summary>What every report.html is made of.</summary>
internal static class ReportPage
{
    /// <inheritdoc cref="HtmlPage.Write"/>
    public static string Page(string title, params object?[] body) => HtmlPage.Write(title, Style, body);

    public static object[] Title(string kind, string board) => [Tag("p", Class("kind"), kind), Tag("h1", board)];

    public static XElement Picture(ChannelPicture picture) => Tag("figure", Tag("img",
        new XAttribute("src", "data:image/png;base64," + Convert.ToBase64String(picture.Png)),
        new XAttribute("alt", MarkupText.Permitted(picture.Description))));

    public static object[] CautionsOf(Board board, ExerciseMode mode, AdapterIdentity adapter) =>
        [Tag("h2", "Before you touch the machine"), Tag("ul", (adapter.IsRecording ? Cautions.ForRecording(board, mode) : Cautions.For(board, mode).Concat(Cautions.For(adapter))).Select(caution => Tag("li", caution)))];

    /// <summary>What people put on record; null where they did not.</summary>
    public static XElement? NotesOf(BoardRecord? record) => record is null or { Notes.IsEmpty: true } ? null : Tag("section",
        Id("notes"),
        Tag("h2", "Notes"),
        Tag("table",
            Row("th", "When", "By", "What"),
            record.Notes.Select(note => Row("td", Words.At(note.At), note.By, NoteWords.What(note)))));

    public static object[]? SerialOf(BoardRecord? record) => record?.Serial is { } serial ? Term("Serial number", serial) : null;

    public static XElement? Spares(Spares spares) => spares.IsEmpty
        ? null
        : Tag("div",
            Class("spares"),
            Tag("h3", "Spares"),
            Tag("ul",
                spares.Now.Select(need => Tag("li", Tag("strong", "Now: "), SpareWords.Of(need))),
                SpareWords.Reserve(spares).Select(words => Tag("li", Tag("strong", "Also: "), words))));

    /// <param name="inject">The command of the injection that the diagnosis proposes; null where it proposes none.</param>
    public static object?[] Explained(Diagnosis diagnosis, string? inject = null) =>
    [
        diagnosis.Faults.Select((fault, index) => Fault(fault, index + 1, diagnosis.Faults.Length)),
        diagnosis.NextProbe is { } probe ? Tag("p", Class("do"), Tag("strong", "Next measurement. "), probe) : null,
        inject is not null ? Tag("p", Class("do"), Tag("strong", "Command. "), Tag("code", inject)) : null,
        diagnosis.Unexplained.Select(channel => Tag("p", Tag("strong", $"{channel}: "), "no single fault of the profile explains what was seen; look at its picture.")),
    ];

    /// <summary>The link to a channel's part of the page.</summary>
    public static XElement ToChannel(string channel) => Tag("a", new XAttribute("href", "#" + Anchor(channel)), channel);

    public static XAttribute ChannelId(string channel) => Id(Anchor(channel));

    private static string Anchor(string channel) => "channel-" + channel;

    private static XElement Fault(Fault fault, int number, int of) => Tag("div",
        Class("fault"),
        Tag("h3", $"{(of > 1 ? $"Fault {number}" : "Fault")} {Words.Where(fault)}"),
        Tag("table",
            Tag("caption", "What it may be, the most probable first"),
            Row("th", "Belief", "Suspect", "How it would have failed"),
            fault.Suspects.Select(suspect => Row("td", Words.Percent(suspect.Belief).Trim(), string.Join(" or ", suspect.Group), suspect.Words))),
        Tag("p", Class("do"), Tag("strong", "What to do. "), fault.Advice));

    public static XElement Badge(Condition condition) => condition switch
    {
        Condition.Working => Good(Words.Of(condition)),
        Condition.NotTested => Open(Words.Of(condition)),
        _ => Bad(Words.Of(condition)),
    };

    public static XElement Good(string words) => Badge("✓", "good", words);

    public static XElement Bad(string words) => Badge("✗", "bad", words);

    /// <summary>Neither good nor bad: not known.</summary>
    public static XElement Open(string words) => Badge("–", "open", words);

    /// <summary>A condition is a word with a mark; colour only repeats it.</summary>
    private static XElement Badge(string mark, string kind, string words) => Tag("span", Class("badge " + kind), $"{mark} {words}");

    public static string Word<T>(T value)
        where T : struct, Enum => KebabWord.Of(value).Replace('-', ' ');

    public static object[] Term(string term, string value) => [Tag("dt", term), Tag("dd", value)];

    private const string Style = """
        :root { --ink: #20242b; --paper: #fbf9f3; --line: #a89f8b; --bad: #a63c00; --good: #00654a; --open: #5b5b5b; }
        * { box-sizing: border-box; }
        body { margin: 0 auto; max-width: 66rem; padding: 1.5rem; background: var(--paper); color: var(--ink); font: 1rem/1.5 Georgia, "Liberation Serif", serif; }
        h1, h2, h3, th, dt, caption, .kind, .badge { font-family: "Arial Narrow", "Liberation Sans Narrow", Arial, sans-serif; }
        header { border-bottom: 6px double var(--ink); padding-bottom: 1rem; }
        .kind { margin: 0; text-transform: uppercase; letter-spacing: .25em; font-size: .8rem; }
        h1 { margin: .2rem 0 1rem; font-size: 2rem; line-height: 1.15; }
        dl { display: grid; grid-template-columns: max-content 1fr; gap: .1rem 1rem; margin: 0; }
        dt { font-weight: bold; } dd { margin: 0; overflow-wrap: anywhere; }
        #answer { margin: 1.5rem 0; padding: 1rem 1.5rem; border: 3px solid var(--ink); background: #fff; }
        #answer h2 { margin: 0 0 .6rem; font-size: 1.6rem; }
        .stopped { border-left: 8px solid var(--bad); padding-left: .8rem; }
        .conditions { display: flex; flex-wrap: wrap; gap: .5rem 1.6rem; margin: 0 0 1rem; padding: 0; list-style: none; }
        .conditions a { margin-right: .5rem; color: inherit; }
        .badge { display: inline-block; padding: 0 .5rem; border: 2px solid; font-size: .95rem; font-weight: bold; white-space: nowrap; }
        .good { color: var(--good); } .bad { color: var(--bad); border-style: double; border-width: 4px; } .open { color: var(--open); border-style: dashed; }
        .fault { border-top: 1px solid var(--line); padding-top: .6rem; }
        .fault h3 { margin: 0 0 .4rem; }
        .do { border-left: 8px solid var(--ink); padding-left: .8rem; }
        article { margin: 1.5rem 0; padding-top: .8rem; border-top: 2px solid var(--ink); }
        article h3 { margin: 0; font-size: 1.3rem; }
        figure { margin: .8rem 0; } img { display: block; width: 100%; height: auto; border: 1px solid var(--line); }
        table { width: 100%; border-collapse: collapse; font-size: .9rem; }
        caption { text-align: left; font-size: .85rem; padding: .2rem 0; }
        th, td { text-align: left; vertical-align: top; padding: .25rem .6rem .25rem 0; border-bottom: 1px solid var(--line); }
        .wrong td { font-weight: bold; }
        footer { margin-top: 2rem; border-top: 6px double var(--ink); font-size: .9rem; }
        @media screen and (max-width: 40rem) { body { padding: .6rem; } #answer { padding: .6rem; } dl { grid-template-columns: 1fr; } .badge { white-space: normal; } }
        @media print {
          @page { margin: 10mm; }
          body { max-width: none; padding: 0; background: none; font-size: 8.5pt; line-height: 1.35; }
          h1 { font-size: 15pt; margin-bottom: .4rem; } h2, #answer h2 { font-size: 12pt; margin: .4rem 0; } .fault h3 { margin: .2rem 0; } p, ul { margin: .35rem 0; }
          #answer { margin: .6rem 0; padding: .4rem .8rem; border-width: 2px; } table { font-size: 7.5pt; line-height: 1.2; } th, td { padding: .05rem .5rem .05rem 0; }
          article { break-before: page; border-top: 0; margin: 0; } #channels h2 { display: none; }
          figure { margin: .3rem 0; } article img { width: auto; max-width: 100%; max-height: 88mm; }
          .fault, tr, figure { break-inside: avoid; } h2, h3 { break-after: avoid; }
        }
        """;
}
