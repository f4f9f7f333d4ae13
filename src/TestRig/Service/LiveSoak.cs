using System.Collections.Immutable;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Service;

/// <summary>A running soak as it stood after one of its cycles.</summary>
/// <param name="LeftHours">Until it has done what was asked for; null where nobody can tell yet.</param>
/// <param name="DoneShare">0 to 1.</param>
public sealed record LiveSoak(
    long Cycles, long FailingCycles, double ExercisedHours, double? LeftHours, double DoneShare, long DiskBytes, string Proof, ImmutableArray<LiveChannel> Channels, long ChecksNotGood)
{
    /// <summary>Points of a sparkline: more than its pixels show nothing.</summary>
    private const int SparkPoints = 60;

    public static LiveSoak Of(CycleDone done, SoakOptions options)
    {
        var tally = done.Tally;
        var drifts = Drift.Of(tally);
        double? left = options.Cycles is { } cycles
            ? tally.Exercised > TimeSpan.Zero ? Math.Max(0, cycles - tally.Cycles) * tally.Exercised.TotalHours / tally.Cycles : null
            : Math.Max(0, options.For!.Value.TotalHours - tally.Exercised.TotalHours);
        var share = options.Cycles is { } all ? tally.Cycles / (double)all : tally.Exercised / options.For!.Value;
        return new(
            tally.Cycles, tally.FailingCycles, tally.Exercised.TotalHours, left, Math.Clamp(share, 0, 1), done.DiskBytes, SoakWords.ProofSoFar(tally),
            [.. tally.Channels.Select(channel => Channel(channel, [.. tally.Series.Where(series => series.Key.Channel == channel.Channel)], drifts.FirstOrDefault(drift => drift.Series.Key.Channel == channel.Channel), done.Cycle))],
            tally.Checks.Failures);
    }

    private static LiveChannel Channel(ChannelTally tally, ImmutableArray<SeriesTally> series, Drift? drift, CycleRecord latest)
    {
        // What drifts is to be seen; where nothing does, what comes nearest to its limit.
        var shown = drift?.Series ?? series.Where(each => each.Key.Kind == FigureKind.Delay && each.Strain is not null).MaxBy(each => each.Strain);
        var delay = series.Where(each => each.Key.Kind == FigureKind.Delay).MaxBy(each => each.Strain ?? 0);
        return new(
            tally.Channel, latest.Channels.FirstOrDefault(channel => channel.Channel == tally.Channel)?.Condition, tally.Judged, tally.Failures, tally.NotTested, tally.FirstWords,
            shown is null ? null : $"{shown.Key.TestPoint} {SoakWords.Value(shown.Key.Kind, shown.Worst)}", shown?.Strain, drift is null ? null : SoakWords.Rate(drift), Spark(shown), delay?.Worst);
    }

    private static ImmutableArray<double> Spark(SeriesTally? series)
    {
        if (series is null)
            return [];
        var blocks = series.Blocks;
        var step = Math.Max(1, (blocks.Count + SparkPoints - 1) / SparkPoints);
        return [.. blocks.Chunk(step).Select(chunk => chunk.Average(block => block.Value))];
    }
}
