using System.Collections.Immutable;
using System.Globalization;
using System.Xml.Linq;
using TestRig.Bench.Exercising;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using static TestRig.Bench.Reporting.HtmlPage;
using static TestRig.Bench.Reporting.ReportPage;

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
    /// <param name="map">Of the board; null to leave it out.</param>
    /// <param name="record">What is on record of the board beside this; null for nothing.</param>
    public static string Write(SweepResult result, string profile, ImmutableDictionary<string, ChannelPicture> pictures, string? inject = null, ChannelPicture? map = null, BoardRecord? record = null)
    {
        return Page(
            $"{result.Board.Name}: {Words.Verdict(result)}",
            Heading(result, profile, record),
            Answer(result, inject, map),
            NotesOf(record),
            Tag("section", Id("channels"), Tag("h2", "Channel by channel"), result.Channels.Select(channel => Channel(channel, pictures.GetValueOrDefault(channel.Channel.Name)))),
            Checks(result),
            Notes(result));
    }

    private static XElement Heading(SweepResult result, string profile, BoardRecord? record) => Tag("header",
        Title("Bench record", result.Board.Name),
        Tag("dl",
            SerialOf(record),
            Term("Started", result.Started.ToString("d MMMM yyyy, HH:mm:ss zzz", CultureInfo.InvariantCulture)),
            Term("Mode", Words.Of(result.Board, result.Mode)),
            result.Repeats > 1 ? Term("Repeats", result.Repeats.ToString(CultureInfo.InvariantCulture)) : null,
            Term("Profile", profile),
            Term("Adapter", $"{Words.Adapter(result.Adapter)}; resolution {result.Adapter.Resolution}"),
            Words.Of(result.Link, result.Ending) is { } link ? Term("Link", link) : null));

    private static XElement Answer(SweepResult result, string? inject, ChannelPicture? map) => Tag("section",
        Id("answer"),
        Tag("h2", Words.Verdict(result)),
        Explanation(result, inject),
        map is null ? null : Picture(map));

    /// <summary>What stands below the verdict.</summary>
    internal static object?[] Explanation(SweepResult result, string? inject) =>
    [
        result.Ending.Words.Length > 0 ? Tag("p", Class("stopped"), Tag("strong", "Stopped. "), result.Ending.Words) : null,
        Tag("ul", Class("conditions"), result.Channels.Select(channel => Tag("li",
            ToChannel(channel.Channel.Name),
            Badge(channel.Condition)))),
        Explained(result.Diagnosis, inject),
        Spares(result.Spares),
    ];

    private static XElement Channel(ChannelResult channel, ChannelPicture? picture) => Tag("article",
        ChannelId(channel.Channel.Name),
        Tag("h3", channel.Channel.Name, " ", Badge(channel.Condition)),
        Summary(channel),
        picture is null ? null : Picture(picture),
        Findings(channel));

    internal static object?[] Summary(ChannelResult channel) =>
        [Tag("p", channel.Summary), Words.Outcomes(channel) is { } outcomes ? Tag("p", Class("repeats"), $"Exercised again and again: {outcomes}.") : null];

    /// <summary>Null where there are none.</summary>
    internal static XElement? Findings(ChannelResult channel) => channel.Findings.IsEmpty
        ? null
        : Tag("table",
            Tag("caption", "Findings in path order; delays count from the point named behind them"),
            Row("th", "Point", "Expected", "Found", "Delay", "Permitted", "In words"),
            channel.Findings.Select(Finding));

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

    internal static XElement Checks(SweepResult result) => Tag("section",
        Id("checks"),
        Tag("h2", result.Adapter.IsRecording ? "What was taken of the recording" : "Before and after driving"),
        Tag("table",
            Row("th", "Check", "Outcome", "Seen"),
            result.Checks.Select(check => Row("td", check.Name, check.Good ? Words.Of(check) : "✗ not good", check.Words))));

    private static XElement Notes(SweepResult result) => Tag("footer", Reading(result), CautionsOf(result.Board, result.Mode, result.Adapter));

    /// <summary>How its figures are to be read.</summary>
    internal static XElement Reading(SweepResult result) => Tag("p", $"A change is known to lie between two looks of {(result.Adapter.IsRecording ? "the recording instrument" : "the adapter")}; what stands behind a ± contains the true value with a probability of 95 %.{(result.Repeats > 1 ? " Of repeats, the mean is told, and how far it is known; the spread is the standard deviation of what was measured." : "")} “Delay not resolved”: what is known of it reaches across a limit of what is permitted, so it is counted neither as good nor as bad. {(result.Adapter.IsRecording ? "The recording" : "This adapter")} resolves {result.Adapter.Resolution} at best. Clock within ±{(result.Adapter.ClockTolerance * 100).ToString("0.###", CultureInfo.InvariantCulture)} %.");
}
