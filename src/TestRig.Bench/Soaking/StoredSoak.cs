using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Soaking;

/// <summary>All that a run came to, from the store alone: what a resumed soak goes on with, and what is told of a run years later.</summary>
/// <param name="watchIdle">Lines were idle, and whatever changed was wrong.</param>
/// <param name="diagnose">Explains a failing cycle that was seen on an adapter with these pins; it takes seconds.</param>
public sealed class StoredSoak(StoredRun run, Board board, bool watchIdle, Func<SweepResult, ImmutableArray<AdapterPin>, Diagnosis> diagnose)
{
    public SoakTally Tally { get; } = new(run.Heading.Started);

    /// <summary>What its cycles' summaries take in the store.</summary>
    public long SummaryBytes { get; private set; }

    /// <summary>Time in which it was soaked, sessions summed; what lies between them is none.</summary>
    public TimeSpan Soaked { get; } = run.Sessions.Where(session => session.Last is not null).Aggregate(TimeSpan.Zero, (sum, session) => sum + (session.Last!.Value - session.Started));

    internal FailurePatterns Patterns { get; } = new();

    internal CaptureKeeping Keeping { get; } = new();

    /// <summary>Reads all of it.</summary>
    /// <exception cref="Files.RunStorageException">It cannot be read.</exception>
    public async Task ReadAsync(IRunStore store, CancellationToken cancellation)
    {
        var reasons = new Dictionary<long, KeepReason>();
        foreach (var kept in await store.KeptAsync(run.Heading.Id, cancellation))
        {
            Keeping.Add(kept.Cycle, kept.Reason, kept.Bytes);
            reasons[kept.Cycle] = kept.Reason;
        }
        await foreach (var cycle in store.CyclesAsync(run.Heading.Id, 1, cancellation))
        {
            Count(cycle);
            if (!cycle.Failed)
                continue;
            var explains = Patterns.Count(cycle);
            if (!reasons.ContainsKey(cycle.Number))
                Keeping.CountNotKept();
            else if (explains)
                await ExplainAsync(store, cycle, cancellation);
        }
    }

    /// <summary>One cycle more.</summary>
    internal void Count(CycleRecord cycle)
    {
        Tally.Add(cycle);
        SummaryBytes += CaptureKeeping.SummaryBytes(cycle);
    }

    /// <exception cref="Files.RunStorageException">What its adapter said of itself cannot be read.</exception>
    public SoakFindings? Findings() => run.Sessions.IsEmpty ? null : Findings(AdapterJson.Of(run.Heading.Id, run.Sessions[^1]).Identity);

    internal SoakFindings Findings(AdapterIdentity adapter) =>
        new(run.Heading, board, adapter, watchIdle, Tally, Patterns.Seen, Patterns.Others, SummaryBytes + Keeping.Bytes, Keeping.NotKept);

    /// <summary>One cycle of a run, judged anew and not diagnosed.</summary>
    /// <param name="board">By whose profile.</param>
    /// <param name="cycle">Of which captures are kept.</param>
    /// <exception cref="Files.RunStorageException">They cannot be read.</exception>
    public static async Task<SweepResult> SweepOfAsync(IRunStore store, StoredRun run, Board board, long cycle, CancellationToken cancellation)
    {
        var watchedIdle = run.Heading.Kind == RunKind.Soak && SoakOptionsJson.Read(run.Heading.Id, run.Heading.Options).WatchIdle;
        await foreach (var one in store.CyclesAsync(run.Heading.Id, cycle, cancellation))
        {
            if (one.Number == cycle && await StoredCycle.ReadAsync(store, run, board, one, watchedIdle, cancellation) is { } read)
                return read.Sweep;
            break;
        }
        throw new Files.RunStorageException($"Of cycle {cycle} of run {run.Heading.Id} nothing is kept any more.");
    }

    private async Task ExplainAsync(IRunStore store, CycleRecord cycle, CancellationToken cancellation)
    {
        var (sweep, pins) = (await StoredCycle.ReadAsync(store, run, board, cycle, watchIdle, cancellation))!;
        Patterns.Explain(cycle, sweep, diagnose(sweep, pins));
    }
}
