using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Comparing;

/// <summary>A run in numbers, as another is compared with it.</summary>
/// <param name="Adapter">Of its last session.</param>
public sealed record RunFigures(StoredRun Run, Board Board, AdapterIdentity Adapter, SoakTally Tally, ImmutableDictionary<FigureKey, FigureEstimate> Figures)
{
    /// <summary>Kept cycles that are judged again for what the adapter did not know of each figure: it is much the same in each.</summary>
    private const int MostJudgedAgain = 32;

    /// <summary>Null of a run that never came to drive anything.</summary>
    /// <param name="board">By the run's own profile; no idle lines were watched.</param>
    /// <exception cref="Files.RunStorageException">It cannot be read.</exception>
    public static async Task<RunFigures?> ReadAsync(IRunStore store, StoredRun run, Board board, CancellationToken cancellation)
    {
        if (run.Sessions.IsEmpty || run.Cycles == 0)
            return null;
        var adapter = AdapterJson.Of(run.Heading.Id, run.Sessions[^1]).Identity;
        // The rounds of a sweep step their commands against the looks, and average; the cycles of a soak do not.
        var look = run.Heading.Kind == RunKind.Sweep ? adapter.Look : Duration.Zero;
        var kept = (await store.KeptAsync(run.Heading.Id, cancellation)).Take(MostJudgedAgain).Select(entry => entry.Cycle).ToHashSet();
        var (tally, known) = (new SoakTally(run.Heading.Started), new Dictionary<FigureKey, KnownFigure>());
        await foreach (var cycle in store.CyclesAsync(run.Heading.Id, 1, cancellation))
        {
            tally.Add(cycle);
            if (kept.Contains(cycle.Number) && await StoredCycle.ReadAsync(store, run, board, cycle, watchedIdle: false, cancellation) is { } again)
                Learn(again.Sweep, look, known);
        }
        return new(run, board, adapter, tally, tally.Series.ToImmutableDictionary(series => series.Key, series => EstimateOf(series, known.GetValueOrDefault(series.Key))));
    }

    private static FigureEstimate EstimateOf(SeriesTally series, KnownFigure? known) => new(
        series.Key, series.Count, series.Mean, known?.Guard, BatchMean.Of([.. series.Blocks.Select(block => block.Value)]), series.Spread, series.Lowest, series.Highest, known?.Varies ?? true);

    private static void Learn(SweepResult sweep, Duration look, Dictionary<FigureKey, KnownFigure> known)
    {
        foreach (var (figure, channel, finding) in CycleRecords.Measured(sweep))
        {
            if (!known.TryGetValue(figure.Key, out var entry))
                known[figure.Key] = entry = new(new DelayRepeats(look, finding.Cause == channel.Channel.DrivenAt.Name)) { Varies = VariesByNature(channel.Channel, figure.Key, finding) };
            entry.Add(figure.Key.Kind, channel, finding);
        }
    }

    /// <summary>Contacts and motions are another each time; logic is not.</summary>
    private static bool VariesByNature(Channel channel, FigureKey key, Finding finding) =>
        key.Kind is not (FigureKind.Delay or FigureKind.Level)
        || (key.Kind == FigureKind.Delay && finding.Stage is { } stage && channel.Stages.Take(stage + 1).Any(each => each.Bounce is not null));

    /// <summary>What kept cycles say of a figure's uncertainty.</summary>
    private sealed class KnownFigure(DelayRepeats delays)
    {
        /// <summary>Count in a gate: one more or one less (common practice).</summary>
        private const double OnePulse = 1;

        private double? _widest;

        public required bool Varies { get; init; }

        /// <summary>Null where nothing kept tells.</summary>
        public double? Guard => delays.Count > 0 ? delays.Mean.Guard.Picoseconds : _widest;

        public void Add(FigureKind kind, ChannelResult channel, Finding finding)
        {
            if (kind == FigureKind.Delay)
            {
                if (finding.Measured is { } delay)
                    delays.Add(delay);
                return;
            }
            var guard = kind switch
            {
                FigureKind.Level => finding.Reading?.Guard.Value * 1e6,
                FigureKind.SettleTime => channel.Capture?.Resolution.Picoseconds,
                FigureKind.Rate => finding.Rate?.ExpandedUncertainty.Value * 1e6,
                FigureKind.Pulses => OnePulse,
                _ => 0,
            };
            if (guard is { } reach)
                _widest = Math.Max(_widest ?? 0, reach);
        }
    }
}
