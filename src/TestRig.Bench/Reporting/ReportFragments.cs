using TestRig.Bench.Adapters;
using TestRig.Bench.Comparing;
using TestRig.Bench.Exercising;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Trials;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Reporting;

/// <summary>Parts of the written reports for pages that are made while somebody reads: HTML without a frame and a style, and safe to be put into a page as it is.</summary>
public static class ReportFragments
{
    /// <summary>What stands below the verdict of a sweep.</summary>
    public static string Explanation(SweepResult sweep) => HtmlPage.Fragment(RunReport.Explanation(sweep, inject: null));

    /// <summary>What stands below the verdict of a soak.</summary>
    /// <param name="ending">Why the last session ended; empty where all that was asked for was done.</param>
    public static string Explanation(SoakFindings findings, string ending) => HtmlPage.Fragment(SoakReport.Explanation(findings, ending, Drift.Of(findings.Tally)));

    /// <summary>What stands below the verdict of a comparison.</summary>
    public static string Explanation(RunComparison comparison) => HtmlPage.Fragment(ComparisonReport.Explanation(comparison));

    /// <summary>What stands below the verdict of a trial.</summary>
    public static string Explanation(TrialResult trial) => HtmlPage.Fragment(TrialPage.Explanation(trial));

    /// <summary>A condition as a word with a mark.</summary>
    public static string Badge(Condition condition) => HtmlPage.Fragment(ReportPage.Badge(condition));

    public static string Badge(ChannelTally channel) => HtmlPage.Fragment(SoakReport.Badge(channel));

    public static string Badge(ChannelChange change) => HtmlPage.Fragment(ComparisonReport.Badge(change));

    /// <summary>How a channel fared in a sweep, or in one cycle.</summary>
    public static string Summary(ChannelResult channel) => HtmlPage.Fragment(RunReport.Summary(channel));

    /// <summary>How a channel fared over all cycles.</summary>
    public static string Sentence(ChannelTally channel) => HtmlPage.Fragment(HtmlPage.Tag("p", SoakWords.Sentence(channel)));

    /// <summary>How a channel fared in one cycle of many.</summary>
    public static string InCycle(long cycle, ChannelResult channel) => HtmlPage.Fragment(HtmlPage.Tag("p", $"In cycle {SoakWords.Number(cycle)}: {Words.Of(channel.Condition)}. {channel.Summary}"));

    /// <summary>Nothing where there are none.</summary>
    public static string Findings(ChannelResult channel) => HtmlPage.Fragment(RunReport.Findings(channel));

    /// <summary>What was measured of a channel over all cycles; nothing where nothing was.</summary>
    public static string Figures(SoakFindings findings, string channel) =>
        HtmlPage.Fragment(SoakReport.Figures([.. findings.Tally.Series.Where(series => series.Key.Channel == channel)], Drift.Of(findings.Tally)));

    /// <summary>What was measured of a channel in two runs; nothing where nothing was.</summary>
    public static string Figures(ChannelChange change) => HtmlPage.Fragment(ComparisonReport.Figures(change));

    /// <summary>The checks before and after driving.</summary>
    public static string Checks(SweepResult sweep) => HtmlPage.Fragment(RunReport.Checks(sweep).Elements());

    /// <summary>When it was measured; nothing where the store cannot tell.</summary>
    public static string Sessions(StoredRun run) => HtmlPage.Fragment(SoakReport.Sessions(run.Sessions)?.Elements());

    /// <summary>What people put on record; nothing where they did not.</summary>
    public static string Notes(BoardRecord record) => HtmlPage.Fragment(ReportPage.NotesOf(record)?.Elements());

    /// <summary>Part by part, and what each figure may be.</summary>
    public static string Parts(TrialResult trial) => HtmlPage.Fragment(TrialPage.Parts(trial).Elements(), TrialPage.Permitted(trial).Elements());

    /// <summary>How figures are to be read.</summary>
    public static string Reading(SweepResult sweep) => HtmlPage.Fragment(RunReport.Reading(sweep));

    public static string Reading(TrialResult trial) => HtmlPage.Fragment(TrialPage.Reading(trial));

    /// <summary>Of a soak.</summary>
    public static string Reading() => HtmlPage.Fragment(SoakReport.Reading());

    /// <summary>What is said to whoever goes to the board because of a run.</summary>
    public static string Cautions(Board board, ExerciseMode mode, AdapterIdentity adapter) => HtmlPage.Fragment(ReportPage.CautionsOf(board, mode, adapter));
}
