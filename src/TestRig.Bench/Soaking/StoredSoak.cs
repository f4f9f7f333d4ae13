using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Quantities;

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
    public SoakFindings? Findings() => run.Sessions.IsEmpty ? null : Findings(AdapterOf(run.Sessions[^1]).Identity);

    internal SoakFindings Findings(AdapterIdentity adapter) =>
        new(run.Heading, board, adapter, watchIdle, Tally, Patterns.Seen, Patterns.Others, SummaryBytes + Keeping.Bytes, Keeping.NotKept);

    private async Task ExplainAsync(IRunStore store, CycleRecord cycle, CancellationToken cancellation)
    {
        // The session in which it was measured: the last one that had begun by then.
        var session = run.Sessions.LastOrDefault(session => session.Started <= cycle.Started) ?? run.Sessions[0];
        var adapter = AdapterOf(session);
        var kept = await store.ReadKeptAsync(run.Heading.Id, cycle.Number, board, cancellation);
        var channels = Rejudging.Of(board, kept!, watchIdle);
        var sweep = new SweepResult(
            board, adapter.Identity, run.Heading.Mode, cycle.Started, channels, [.. cycle.Checks.Select(CheckOf)], Diagnosis.None, new(cycle.Outcome, cycle.Words), Duration.Zero, TimeSpan.Zero)
        {
            Seen = [.. kept!.Beside, .. watchIdle ? [] : channels.SelectMany(channel => ChannelSights.Of(board, channel))],
        };
        Patterns.Explain(cycle, sweep, diagnose(sweep, adapter.Pins));
    }

    private static CheckDone CheckOf(string stored)
    {
        var parts = stored.Split(": ", 2);
        return new(parts[0], Good: false, parts[1]);
    }

    private AdapterSaid AdapterOf(StoredSession session) => AdapterJson.Read($"session {session.Number} of run {run.Heading.Id}", session.Adapter);
}
