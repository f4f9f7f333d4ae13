using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using System.Xml.Linq;
using TestRig.Bench.Exercising;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Reporting;

/// <summary>
/// A sweep as one page, report.html, for whoever services the machine next: first the answer, then each channel with its picture and findings. It needs no
/// other file, no network and no scripts, and prints.
/// </summary>
public static class RunReport
{
    /// <param name="profile">The profile's path as the user wrote it.</param>
    /// <param name="pictures">By channel name; a channel without a capture has none.</param>
    /// <param name="inject">The command of the injection that the diagnosis proposes; null where it proposes none.</param>
    public static string Write(SweepResult result, string profile, ImmutableDictionary<string, ChannelPicture> pictures, string? inject = null)
    {
        var page = Tag("html",
            new XAttribute("lang", "en"),
            Tag("head",
                Tag("meta", new XAttribute("charset", "utf-8")),
                Tag("meta", new XAttribute("name", "viewport"), new XAttribute("content", "width=device-width, initial-scale=1")),
                Tag("title", $"{result.Board.Name}: {Words.Verdict(result)}"),
                // No > and no & in it: a browser reads a style as it stands, without entities.
                Tag("style", Style)),
            Tag("body",
                Heading(result, profile),
                Answer(result, inject),
                Tag("section", Id("channels"), Tag("h2", "Channel by channel"), result.Channels.Select(channel => Channel(channel, pictures.GetValueOrDefault(channel.Channel.Name)))),
                Checks(result),
                Notes(result)));
        return "<!DOCTYPE html>\n" + page.ToString(SaveOptions.DisableFormatting) + "\n";
    }

    private static XElement Heading(SweepResult result, string profile) => Tag("header",
        Tag("p", Class("kind"), "Bench record"),
        Tag("h1", result.Board.Name),
        Tag("dl",
            Term("Started", result.Started.ToString("d MMMM yyyy, HH:mm:ss zzz", CultureInfo.InvariantCulture)),
            Term("Mode", result.Board.Moves ? Words.Of(result.Mode) : "logic only, nothing on this board moves"),
            result.Repeats > 1 ? Term("Repeats", result.Repeats.ToString(CultureInfo.InvariantCulture)) : null,
            Term("Profile", profile),
            Term("Adapter", $"{Words.Adapter(result.Adapter)}; resolution {result.Adapter.Resolution}"),
            Words.Of(result.Link, result.Ending) is { } link ? Term("Link", link) : null));

    private static XElement Answer(SweepResult result, string? inject) => Tag("section",
        Id("answer"),
        Tag("h2", Words.Verdict(result)),
        result.Ending.Words.Length > 0 ? Tag("p", Class("stopped"), Tag("strong", "Stopped. "), result.Ending.Words) : null,
        Tag("ul", Class("conditions"), result.Channels.Select(channel => Tag("li",
            Tag("a", new XAttribute("href", "#" + Anchor(channel)), channel.Channel.Name),
            Badge(channel.Condition)))),
        result.Diagnosis.Faults.Select((fault, index) => Fault(fault, index + 1, result.Diagnosis.Faults.Length)),
        result.Diagnosis.NextProbe is { } probe ? Tag("p", Class("do"), Tag("strong", "Next measurement. "), probe) : null,
        inject is not null ? Tag("p", Class("do"), Tag("strong", "Command. "), Tag("code", inject)) : null,
        result.Diagnosis.Unexplained.Select(channel => Tag("p",
            Tag("strong", $"{channel}: "), "no single fault of the profile explains what was seen; look at its picture.")),
        Spares(result.Spares));

    private static XElement? Spares(Spares spares) => spares.IsEmpty
        ? null
        : Tag("div",
            Id("spares"),
            Tag("h3", "Spares"),
            Tag("ul",
                spares.Now.Select(need => Tag("li", Tag("strong", "Now: "), SpareWords.Of(need))),
                SpareWords.Reserve(spares).Select(words => Tag("li", Tag("strong", "Also: "), words))));

    private static XElement Fault(Fault fault, int number, int of) => Tag("div",
        Class("fault"),
        Tag("h3", $"{(of > 1 ? $"Fault {number}" : "Fault")} {Words.Where(fault)}"),
        Tag("table",
            Tag("caption", "What it may be, the most probable first"),
            Row("th", "Belief", "Suspect", "How it would have failed"),
            fault.Suspects.Select(suspect => Row("td", Words.Percent(suspect.Belief).Trim(), string.Join(" or ", suspect.Group), suspect.Words))),
        Tag("p", Class("do"), Tag("strong", "What to do. "), fault.Advice));

    private static XElement Channel(ChannelResult channel, ChannelPicture? picture) => Tag("article",
        Id(Anchor(channel)),
        Tag("h3", channel.Channel.Name, " ", Badge(channel.Condition)),
        Tag("p", channel.Summary),
        Words.Outcomes(channel) is { } outcomes ? Tag("p", Class("repeats"), $"Exercised again and again: {outcomes}.") : null,
        picture is null
            ? null
            : Tag("figure", Tag("img",
                new XAttribute("src", "data:image/png;base64," + Convert.ToBase64String(picture.Png)),
                new XAttribute("alt", MarkupText.Permitted(picture.Description)))),
        channel.Findings.IsEmpty
            ? null
            : Tag("table",
                Tag("caption", "Findings in path order; delays count from the point named behind them"),
                Row("th", "Point", "Expected", "Found", "Delay", "Permitted", "In words"),
                channel.Findings.Select(Finding)));

    private static XElement Finding(Finding finding)
    {
        var row = Row("td",
            finding.TestPoint,
            Word(finding.Expected),
            (finding.IsWrong ? "✗ " : "") + Word(finding.Verdict) + (finding.Timing == Timing.NotResolved ? ", delay not resolved" : ""),
            finding is { Delay: { } delay, Cause: { } cause, ExpandedUncertainty: { } expanded } ? $"{Delay(delay, expanded)} after {cause}" : "",
            finding is { Earliest: { } earliest, Latest: { } latest } ? earliest <= Duration.Zero ? $"up to {latest}" : $"{earliest} to {latest}" : "",
            Words.Measured(finding) is { Length: > 0 } more ? $"{finding.Words} {more}" : finding.Words);
        if (finding.IsWrong)
            row.Add(Class("wrong"));
        return row;
    }

    /// <summary>With its expanded uncertainty; one that may as well be nothing only as a bound.</summary>
    private static string Delay(Duration delay, Duration expanded) => delay > expanded ? $"{delay} ± {expanded}" : $"at most {delay + expanded}";

    private static XElement Checks(SweepResult result) => Tag("section",
        Id("checks"),
        Tag("h2", "Before and after driving"),
        Tag("table",
            Row("th", "Check", "Outcome", "Seen"),
            result.Checks.Select(check => Row("td", check.Name, check.Good ? Words.Of(check) : "✗ not good", check.Words))));

    private static XElement Notes(SweepResult result) => Tag("footer",
        Tag("p", $"A change is known to lie between two looks of the adapter; what stands behind a ± contains the true value with a probability of 95 %.{(result.Repeats > 1 ? " Of repeats, the mean is told, and how far it is known; the spread is the standard deviation of what was measured." : "")} “Delay not resolved”: what is known of it reaches across a limit of what is permitted, so it is counted neither as good nor as bad. This adapter resolves {result.Adapter.Resolution} at best. Clock within ±{(result.Adapter.ClockTolerance * 100).ToString("0.###", CultureInfo.InvariantCulture)} %."),
        Tag("h2", "Before you touch the machine"),
        Tag("ul", Cautions.For(result.Board, result.Mode).Concat(Cautions.For(result.Adapter)).Select(caution => Tag("li", caution))));

    /// <summary>A condition is a word with a mark; colour only repeats it.</summary>
    private static XElement Badge(Condition condition)
    {
        var (mark, kind) = condition switch
        {
            Condition.Working => ("✓", "good"),
            Condition.NotTested => ("–", "open"),
            _ => ("✗", "bad"),
        };
        return Tag("span", Class("badge " + kind), $"{mark} {Words.Of(condition)}");
    }

    private static string Anchor(ChannelResult channel) => "channel-" + channel.Channel.Name;

    private static string Word<T>(T value)
        where T : struct, Enum => JsonNamingPolicy.KebabCaseLower.ConvertName(value.ToString()).Replace('-', ' ');

    private static XElement Row(string cell, params string[] texts) => Tag("tr", texts.Select(text => Tag(cell, text)));

    private static object[] Term(string term, string value) => [Tag("dt", term), Tag("dd", value)];

    private static XAttribute Id(string id) => new("id", id);

    private static XAttribute Class(string name) => new("class", name);

    /// <summary>An element; texts are escaped by the writer. An empty text keeps its end tag, which HTML needs.</summary>
    private static XElement Tag(string name, params object?[] content) =>
        new(name, content.Select(item => item is string text ? new XText(MarkupText.Permitted(text)) : item));

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
        @media print {
          @page { margin: 15mm; }
          body { max-width: none; padding: 0; background: none; font-size: 10pt; }
          article, .fault, tr, figure { break-inside: avoid; } article table, article { break-inside: auto; } h2, h3 { break-after: avoid; }
        }
        """;
}
