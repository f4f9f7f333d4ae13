using System.Collections.Immutable;
using System.Text.Json;
using TestRig.Bench.Comparing;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;

namespace TestRig.Bench.Reporting;

/// <summary>Two runs compared, for other programs: format testrig-comparison/1. Figures are in the unit of their kind, as in testrig-soak/1.</summary>
public static class ComparisonJson
{
    public static string Write(RunComparison comparison) => JsonSerializer.Serialize(
        new Document(
            "testrig-comparison/1", ComparisonWords.Verdict(comparison), Entry(comparison.Before), Entry(comparison.After),
            [.. comparison.Channels.Select(Entry)], comparison.OnlyBefore, comparison.OnlyAfter),
        RecordJson.Options);

    private static RunEntry Entry(RunFigures run) => new(
        run.Run.Heading.Id, run.Run.Heading.Kind, run.Board.Name, run.Run.Heading.Simulated, RecordJson.Instant(run.Run.Heading.Started), run.Tally.Cycles, run.Tally.FailingCycles);

    private static ChannelEntry Entry(ChannelChange change) => new(
        change.Channel, change.Overall, change.Standing, Entry(change.Before), Entry(change.After), change.Probability, ComparisonWords.Of(change), [.. change.Figures.Select(Entry)], change.OnlyOnce);

    private static StateEntry Entry(ChannelTally channel) => new(ComparisonWords.State(channel), channel.Judged, channel.Failures);

    private static FigureEntry Entry(FigureChange change) => new(
        change.Key.TestPoint, change.Key.Expected, change.Key.Kind, change.Standing, change.Before.Mean, change.After.Mean, change.Difference, change.HalfWidth, change.Before.Cycles, change.After.Cycles, change.After.Lowest, change.After.Highest);

    private sealed record Document(
        string Format, string Verdict, RunEntry Before, RunEntry After, ImmutableArray<ChannelEntry> Channels, ImmutableArray<string> OnlyBefore, ImmutableArray<string> OnlyAfter);

    private sealed record RunEntry(string Name, RunKind Kind, string Board, bool Simulated, string Started, long Cycles, long FailingCycles);

    /// <param name="Standing">Of condition and figures together.</param>
    /// <param name="ConditionStanding">Of the condition alone.</param>
    private sealed record ChannelEntry(
        string Name, Standing Standing, Standing ConditionStanding, StateEntry Before, StateEntry After, double? Probability, string Words, ImmutableArray<FigureEntry> Figures, ImmutableArray<string> OnlyOnce);

    private sealed record StateEntry(string Condition, long Judged, long Failures);

    private sealed record FigureEntry(
        string TestPoint, Expectation Expected, FigureKind Kind, Standing Standing, double Before, double After, double Difference, double? HalfWidth, long CyclesBefore, long CyclesAfter, long? Lowest, long? Highest);
}
