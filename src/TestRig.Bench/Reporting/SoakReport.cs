using System.Collections.Immutable;
using System.Globalization;
using System.Xml.Linq;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using static TestRig.Bench.Reporting.HtmlPage;
using static TestRig.Bench.Reporting.ReportPage;

namespace TestRig.Bench.Reporting;

/// <summary>
/// A soak as one page, report.html: first what failed, how often, what explains it and how sure the rest is; then each channel with what was measured, and when nobody measured. It needs no other file, no network
/// and no scripts, and prints.
/// </summary>
public static class SoakReport
{
    private const string At = "d MMMM yyyy, HH:mm:ss";

    /// <param name="ending">Why the last session ended, for a technician; empty where all that was asked for was done.</param>
    /// <param name="sessions">Of the run, in order.</param>
    /// <param name="pictures">Of a channel, by its name, as it failed first.</param>
    /// <param name="nights">Of a channel, by its name, its figures through the run.</param>
    /// <param name="record">What is on record of the board beside this; null for nothing.</param>
    public static string Write(
        SoakFindings findings, string ending, ImmutableArray<StoredSession> sessions, ImmutableDictionary<string, ChannelPicture> pictures, ImmutableDictionary<string, ChannelPicture> nights, BoardRecord? record = null)
    {
        var drifts = Drift.Of(findings.Tally);
        return Page(
            $"{findings.Board.Name}: {SoakWords.Verdict(findings)}",
            Heading(findings, record),
            Answer(findings, ending, drifts),
            NotesOf(record),
            Tag("section", Id("channels"), Tag("h2", "Channel by channel"), findings.Tally.Channels.Select(channel => Channel(
                channel, findings, drifts, pictures.GetValueOrDefault(channel.Channel), nights.GetValueOrDefault(channel.Channel)))),
            Sessions(sessions),
            Notes(findings));
    }

    private static XElement Heading(SoakFindings findings, BoardRecord? record) => Tag("header",
        Title("Record of a soak", findings.Board.Name),
        Tag("dl",
            SerialOf(record),
            Term("Run", findings.Run.Id),
            Term("Begun", findings.Run.Started.ToString($"{At} zzz", CultureInfo.InvariantCulture)),
            Term("Mode", SoakWords.Mode(findings)),
            Term("Cycles", $"{SoakWords.Number(findings.Tally.Cycles)}, {SoakWords.Hours(findings.Tally.Exercised.TotalHours)} in all"),
            Term("Profile", findings.Run.Profile.Path),
            Term("Adapter", $"{Words.Adapter(findings.Adapter)}; resolution {findings.Adapter.Resolution}")));

    private static XElement Answer(SoakFindings findings, string ending, IReadOnlyList<Drift> drifts) => Tag("section",
        Id("answer"),
        Tag("h2", SoakWords.Verdict(findings)),
        Explanation(findings, ending, drifts));

    /// <summary>What stands below the verdict.</summary>
    internal static object?[] Explanation(SoakFindings findings, string ending, IReadOnlyList<Drift> drifts) =>
    [
        ending.Length > 0 ? Tag("p", Class("stopped"), Tag("strong", "Ended early. "), ending) : null,
        Tag("ul", Class("conditions"), findings.Tally.Channels.Select(channel => Tag("li", ToChannel(channel.Channel), Badge(channel)))),
        Checks(findings.Tally.Checks),
        findings.Patterns.Select(pattern => Pattern(pattern, findings.Tally)),
        findings.OtherFailures > 0 ? Tag("p", SoakWords.Others(findings)) : null,
        drifts.Count == 0 ? Tag("p", "No figure drifts that could be told from chance.") : Tag("div", Tag("h3", "What drifts"), Tag("ul", drifts.Select(drift => Tag("li", SoakWords.Of(drift, findings.Tally.Hours))))),
        findings.Tally.Cycles > 0 ? Tag("div", Tag("h3", "How sure the rest is"), Tag("p", SoakWords.Proof(findings.Tally))) : null,
    ];

    internal static XElement Badge(ChannelTally channel) => channel switch
    {
        { Judged: 0 } => Open("never tested"),
        { Failures: 0 } => Good("never failed"),
        { IsIntermittent: true } => Bad($"intermittent, {SoakWords.Number(channel.Failures)} times"),
        _ => Bad("always failing"),
    };

    private static XElement? Checks(ChannelTally checks) => checks.Failures == 0
        ? null
        : Tag("p", Tag("strong", "Checks. "), SoakWords.OfChecks(checks));

    private static XElement Pattern(FailurePattern pattern, SoakTally tally) => Tag("div",
        Class("fault"),
        Tag("h3", $"Together: {SoakWords.Of(pattern)}"),
        SoakWords.BeforeReplacing(pattern, tally) is { } first ? Tag("p", Class("do"), Tag("strong", "First. "), first) : null,
        pattern.Explanation is { } explanation ? Explained(explanation.Diagnosis) : Tag("p", SoakWords.NotExplained),
        Spares(pattern.Explanation?.Spares ?? Core.Diagnosing.Spares.None));

    private static XElement Channel(ChannelTally channel, SoakFindings findings, IReadOnlyList<Drift> drifts, ChannelPicture? failing, ChannelPicture? night) => Tag("article",
        ChannelId(channel.Channel),
        Tag("h3", channel.Channel, " ", Badge(channel)),
        Tag("p", SoakWords.Sentence(channel)),
        failing is null ? null : Picture(failing),
        night is null ? null : Picture(night),
        Figures(findings.Tally.Series.Where(series => series.Key.Channel == channel.Channel).ToList(), drifts));

    /// <summary>Null where nothing was measured.</summary>
    internal static XElement? Figures(IReadOnlyList<SeriesTally> series, IReadOnlyList<Drift> drifts) => series.Count == 0
        ? null
        : Tag("table",
            Tag("caption", "What was measured, over all cycles"),
            Row("th", "Figure", "Least", "Most", "Most in cycle", "Permitted", "Drift"),
            series.Select(each => Row(
                "td",
                SoakWords.NameInChannel(each.Key),
                SoakWords.Value(each.Key.Kind, each.Least),
                SoakWords.Value(each.Key.Kind, each.Most),
                SoakWords.Number(each.MostIn),
                SoakWords.Permitted(each),
                drifts.FirstOrDefault(drift => drift.Series == each) is { } drift ? SoakWords.Rate(drift) : "none seen")));

    /// <summary>Null where the store could not tell them any more.</summary>
    internal static XElement? Sessions(ImmutableArray<StoredSession> sessions) => sessions.IsEmpty ? null : Tag("section",
        Id("sessions"),
        Tag("h2", "When it was measured"),
        Tag("table",
            Row("th", "Session", "From", "To", "Before it nobody measured for", "How it ended"),
            sessions.Select((session, index) => Row(
                "td",
                session.Number.ToString(CultureInfo.InvariantCulture),
                session.Started.ToString(At, CultureInfo.InvariantCulture),
                session.Last is { } last ? last.ToString(At, CultureInfo.InvariantCulture) : "no cycle was finished",
                index == 0 ? "" : SoakWords.Hours(Math.Max(0, (session.Started - (sessions[index - 1].Last ?? sessions[index - 1].Started)).TotalHours)),
                SoakWords.EndOf(session)))));

    private static XElement Notes(SoakFindings findings) => Tag("footer", Reading(), CautionsOf(findings.Board, findings.Run.Mode, findings.Adapter));

    /// <summary>How its figures are to be read.</summary>
    internal static XElement Reading() => Tag("p", "Shares of cycles and mean times stand with 95 % confidence (Clopper and Pearson; exponential times between failures). A drift is told where chance alone, in any figure of the run, would show one in less than one of 20 runs (Mann and Kendall, with the correction of Hamed and Rao; slope by Theil and Sen).");
}
