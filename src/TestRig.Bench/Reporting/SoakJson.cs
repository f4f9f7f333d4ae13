using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Reporting;

/// <summary>The record of a soak for other programs, format testrig-soak/1. Figures are in the units that their keys say.</summary>
public static class SoakJson
{
    private const string Format = "testrig-soak/1";

    /// <summary>The JSON Schema of it.</summary>
    public static string Schema() => RecordSchema.Write(typeof(Document), Format, "The record of a soak (soak.json)");

    /// <param name="ending">How the last session ended; null where that is told of all sessions elsewhere.</param>
    /// <param name="record">What is on record of the board beside this; null for nothing.</param>
    public static string Write(SoakFindings result, SoakEnding? ending, BoardRecord? record = null)
    {
        var tally = result.Tally;
        return JsonSerializer.Serialize(
            new Document(
                Format, result.Run.Id, result.Board.Name, result.Run.Profile.Path, AdapterEntry.Of(result.Adapter), RecordJson.Instant(result.Run.Started),
                result.Run.Mode, result.WatchIdle, ending is null ? null : new(ending.Outcome, ending.Words), tally.Cycles, tally.FailingCycles, tally.Exercised.TotalSeconds, result.DiskBytes, result.NotKept,
                [.. tally.Channels.Select(Entry)], tally.Checks.Failures,
                [.. tally.Series.Select(Entry)],
                [.. Drift.Of(tally).Select(Entry)],
                [.. result.Patterns.Select(pattern => new PatternEntry(pattern.Words, pattern.Times, pattern.First, [.. pattern.Explanation?.Diagnosis.Suspects.Select(suspect => new SuspectEntry(suspect.Group, suspect.Words, Math.Round(suspect.Belief, 4))) ?? []]))],
                result.OtherFailures, record?.Serial, NoteEntry.Of(record)),
            RecordJson.Options);
    }

    private static ChannelEntry Entry(ChannelTally channel) => new(
        channel.Channel, channel.Judged, channel.Failures, channel.NotTested, channel.IsIntermittent, channel.FirstFailure, channel.LastFailure, channel.FirstWords,
        channel.FailureShare is var (lower, upper) ? new(lower, upper) : null,
        [.. channel.Conditions.Select(entry => new ConditionEntry(entry.Key, entry.Value))]);

    private static SeriesEntry Entry(SeriesTally series) => new(
        series.Key.Channel, series.Key.TestPoint, series.Key.Expected, series.Key.Kind, series.Count, series.Least, series.Most, series.MostIn, series.Lowest, series.Highest);

    private static DriftEntry Entry(Drift drift) => new(
        drift.Series.Key.Channel, drift.Series.Key.TestPoint, drift.Series.Key.Expected, drift.Series.Key.Kind, drift.Trend.Line.Slope, Finite(drift.Trend.SlopeAtLeast), Finite(drift.Trend.SlopeAtMost),
        drift.Trend.Test.Probability, drift.Crossing?.At, drift.Crossing?.Earliest);

    private static double? Finite(double value) => double.IsFinite(value) ? value : null;

    private sealed record Document(
        string Format, string Run, string Board, string Profile, AdapterEntry Adapter, string Started, ExerciseMode Mode, bool WatchIdle, SoakEndingEntry? Ending, long Cycles, long FailingCycles,
        [property: JsonPropertyName("exercised_s")] double ExercisedS, long DiskBytes, long NotKept, ImmutableArray<ChannelEntry> Channels, long ChecksNotGood, ImmutableArray<SeriesEntry> Series, ImmutableArray<DriftEntry> Drifts,
        ImmutableArray<PatternEntry> Patterns, long OtherFailingCycles, string? Serial, ImmutableArray<NoteEntry>? Notes);

    private sealed record SoakEndingEntry(SoakOutcome Outcome, string Words);

    private sealed record ChannelEntry(
        string Name, long Judged, long Failures, long NotTested, bool Intermittent, long? FirstFailure, long? LastFailure, string? FirstWords, ShareEntry? FailureShare, ImmutableArray<ConditionEntry> Conditions);

    /// <summary>Of cycles that fail, with 95 % confidence.</summary>
    private sealed record ShareEntry(double Lower, double Upper);

    private sealed record ConditionEntry(Condition Condition, long Cycles);

    /// <summary>Delays and settling times in picoseconds, levels in microvolts, rates in microhertz.</summary>
    private sealed record SeriesEntry(
        string Channel, string TestPoint, Expectation Expected, FigureKind Kind, long Number, long Least, long Most, long MostInCycle, long? Lowest, long? Highest);

    /// <summary>In the unit of the series, by hour; times in hours from the start of the run.</summary>
    private sealed record DriftEntry(
        string Channel, string TestPoint, Expectation Expected, FigureKind Kind, double SlopePerHour, double? SlopeAtLeast, double? SlopeAtMost, double Probability, double? CrossesLimitAt, double? EarliestAt);

    private sealed record PatternEntry(string Words, long Cycles, long FirstCycle, ImmutableArray<SuspectEntry> Suspects);

    private sealed record SuspectEntry(ImmutableArray<string> Group, string Words, double Belief);
}
