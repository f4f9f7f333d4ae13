using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Comparing;

/// <summary>What a comparison found, in the words of screen and page.</summary>
public static class ComparisonWords
{
    /// <summary>Nobody runs more cycles than that to be sure.</summary>
    private const long MostCyclesAskedFor = 10_000_000;

    /// <summary>"Better: open-roof. Worse: nothing. ..."</summary>
    public static string Verdict(RunComparison comparison)
    {
        string Named(Standing standing) => string.Join(", ", comparison.Channels.Where(channel => channel.Overall == standing).Select(channel => channel.Channel));
        var parts = new List<string>();
        foreach (var (standing, word) in new[] { (Standing.Worse, "worse"), (Standing.Better, "better"), (Standing.Changed, "changed"), (Standing.Undecided, "not decided") })
        {
            if (Named(standing) is { Length: > 0 } named)
                parts.Add($"{word}: {named}");
        }
        var same = comparison.Channels.Count(channel => channel.Overall == Standing.Same);
        parts.Add(comparison.Channels.IsEmpty ? "the runs have no channel in common" : same == comparison.Channels.Length ? $"{(same == 1 ? "the only channel" : $"all {same} channels")} as before" : $"as before: {same} of {Words.Count(comparison.Channels.Length, "channel")}");
        return $"{Simulated(comparison)}{string.Join("; ", parts)}.";
    }

    public static string Simulated(RunComparison comparison) => comparison.After.Run.Heading.Simulated ? Words.Simulated(comparison.After.Adapter) : Words.Simulated(comparison.Before.Adapter);

    /// <summary>"dome-drive-20260312-180000, 2026-03-12 18:00, soak of 8 411 cycles: …".</summary>
    public static string Of(RunFigures run) =>
        $"{run.Run.Heading.Id}, {Words.At(run.Run.Heading.Started)}, {(run.Run.Heading.Kind == RunKind.Soak ? "soak" : "sweep")} of {SoakWords.Cycles(run.Tally.Cycles)}, {Words.Of(run.Run.Heading.Mode)}, through {Words.Adapter(run.Adapter)}";

    /// <summary>"as before", "better", …</summary>
    public static string Of(Standing standing) => standing switch
    {
        Standing.Same => "as before",
        Standing.Better => "better",
        Standing.Changed => "changed",
        Standing.Undecided => "not decided",
        Standing.Worse => "worse",
        _ => throw new ArgumentOutOfRangeException(nameof(standing), standing, "Unknown standing."),
    };

    /// <summary>What a channel was in a run: "working", "dead", "intermittent, 14 of 8 411".</summary>
    public static string State(ChannelTally channel) => channel switch
    {
        { Judged: 0 } => "not tested",
        { Failures: 0 } => "working",
        { IsIntermittent: true } => $"intermittent, {SoakWords.Number(channel.Failures)} of {SoakWords.Number(channel.Judged)}",
        _ => Words.Of(ChannelChange.MostOften(channel)),
    };

    /// <summary>What became of a channel's condition, and how sure that is.</summary>
    public static string Of(ChannelChange change)
    {
        var (before, after) = (change.Before, change.After);
        if (before.Judged == 0 || after.Judged == 0)
            return $"Not tested {(before.Judged == 0 ? after.Judged == 0 ? "in either run" : "before" : "after")}: nothing can be said.";
        var states = $"{Words.Capitalised(State(before))} before ({SoakWords.Cycles(before.Judged)}), {State(after)} after ({SoakWords.Number(after.Judged)}).";
        return change switch
        {
            { Standing: Standing.Better, Probability: null } => $"{states} {Proof(after)}",
            { Standing: Standing.Better, Probability: { } p } => $"{states} It fails less often: chance alone does that with a probability of {SoakWords.Probability(p)} (Fisher). {(after.Failures == 0 ? Proof(after) : "")}".TrimEnd(),
            { Standing: Standing.Worse, Probability: { } p } => $"{states} It fails more often: chance alone does that with a probability of {SoakWords.Probability(p)} (Fisher). {after.FirstWords}",
            { Standing: Standing.Undecided, Probability: { } p } => $"{states} Chance alone may do that (p {SoakWords.Probability(p)}, Fisher).{More(before, after)}",
            { Standing: Standing.Worse or Standing.Changed } => $"{states} {after.FirstWords}",
            _ when after.Failures > 0 => $"{states} {after.FirstWords}",
            _ => states,
        };
    }

    /// <summary>"OK2.5, delay of its fall: 12.3 µs before, 15.9 µs after, +3.6 ± 2.6 µs; nearer to its limit".</summary>
    public static string Of(FigureChange change)
    {
        var kind = change.Key.Kind;
        var values = $"{SoakWords.NameInChannel(change.Key)}: {SoakWords.Value(kind, change.Before.Mean)} before, {SoakWords.Value(kind, change.After.Mean)} after";
        if (change.HalfWidth is not { } width)
            return $"{values}. {(change.Before.Guard is null || change.After.Guard is null ? "Captures that tell how sure that is are no longer kept." : "It is another each time, and one cycle does not tell by how much: sweep with --repeat.")}";
        var difference = $"{values}, {SoakWords.Signed(kind, change.Difference)} ± {SoakWords.Value(kind, width)}";
        var permitted = SoakWords.Permitted(change.After.Lowest, change.After.Highest, kind);
        return change.Standing switch
        {
            Standing.Same => $"{difference}: no difference that could be told.",
            Standing.Worse => $"{difference}. More than half of its room to the limit is gone (permitted: {permitted}).",
            Standing.Better => $"{difference}. It has more than twice the room to its limit (permitted: {permitted}).",
            _ => $"{difference}{(change.Nearer is { } nearer ? $". {(nearer ? "Nearer to its limit" : "Farther from its limit")}, and well within it (permitted: {permitted})" : "")}.",
        };
    }

    /// <summary>What the figures that are as before may hide: "38 figures are as before; the least that would have been seen …".</summary>
    public static string Unchanged(RunComparison comparison)
    {
        var same = comparison.Channels.SelectMany(channel => channel.Figures).Where(figure => figure.Standing == Standing.Same).ToList();
        if (same.Count == 0)
            return "No figure could be compared and is as before.";
        var least = same.Where(figure => figure.HalfWidth > 0).GroupBy(figure => figure.Key.Kind).OrderBy(group => group.Key)
            .Select(group => $"{Kind(group.Key)} {SoakWords.Value(group.Key, group.Min(figure => figure.HalfWidth!.Value))} to {SoakWords.Value(group.Key, group.Max(figure => figure.HalfWidth!.Value))}");
        return $"{same.Count} figures differ by no more than what is not known of them. Smaller changes than these stay hidden: {string.Join("; ", least)}.";
    }

    public static string Rule(RunComparison comparison) =>
        $"A figure is called different beyond both guard bands together (JCGM 106) and what the scatter of the cycles leaves open (Welch; batch means). Worse: more than half of its room to a limit is gone. Two equal runs are called different in anything in less than one of 20 comparisons (Bonferroni).{(comparison.SameMode ? "" : " The runs were made in different modes: what a motion gives back was seen in one of them only.")}";

    private static string Kind(FigureKind kind) => kind switch
    {
        FigureKind.Delay => "delays",
        FigureKind.SettleTime => "settling times",
        FigureKind.Level => "levels",
        FigureKind.Pulses => "counts",
        FigureKind.Rate => "rates",
        FigureKind.Bounces => "bounces",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown figure."),
    };

    private static string Proof(ChannelTally after) => $"{SoakWords.Number(after.Judged)} without a failure prove{(after.Judged == 1 ? "s" : "")} that at most {SoakWords.Percent(ExactShare.AtMost(0, after.Judged, SoakConfidence.Share))} of cycles fail (95 %).";

    /// <summary>How long to go on where it never failed again, and seldom did before.</summary>
    private static string More(ChannelTally before, ChannelTally after)
    {
        if (after.Failures > 0 || before.Failures == 0)
            return " Go on for more cycles.";
        var needed = after.Judged;
        while (needed < MostCyclesAskedFor && FisherExact.Probability(before.Failures, before.Judged, 0, needed) >= 1 - SoakConfidence.Share)
            needed += Math.Max(1, needed / 10);
        return needed < MostCyclesAskedFor ? $" About {SoakWords.Number(needed)} cycles without a failure would be needed to tell." : " So seldom as it failed, no run will tell.";
    }
}
