using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Soaking;

/// <summary>One cycle of a soak from the store, judged anew, as the sweep that it was.</summary>
/// <param name="Pins">Of the adapter that captured it.</param>
internal sealed record StoredCycle(SweepResult Sweep, ImmutableArray<AdapterPin> Pins)
{
    /// <param name="board">By whose profile: the run's own, or a changed one.</param>
    /// <returns>Not diagnosed; null where its captures were not kept.</returns>
    /// <exception cref="Files.RunStorageException">They cannot be read.</exception>
    public static async Task<StoredCycle?> ReadAsync(IRunStore store, StoredRun run, Board board, CycleRecord cycle, bool watchedIdle, CancellationToken cancellation)
    {
        if (await store.ReadKeptAsync(run.Heading.Id, cycle.Number, board, cancellation) is not { } kept)
            return null;
        // The session in which it was measured: the last one that had begun by then. A clock that was set back leaves the first.
        var adapter = AdapterJson.Of(run.Heading.Id, run.Sessions.LastOrDefault(session => session.Started <= cycle.Started) ?? run.Sessions[0]);
        var channels = Rejudging.Of(board, kept, cycle, watchedIdle);
        var sweep = new SweepResult(
            board, adapter.Identity, run.Heading.Mode, cycle.Started, channels, [.. cycle.Checks.Select(CheckOf)], Diagnosis.None, new(cycle.Outcome, cycle.Words), Duration.Zero, TimeSpan.Zero)
        {
            Seen = [.. kept.Beside, .. watchedIdle ? [] : channels.SelectMany(channel => ChannelSights.Of(board, channel))],
        };
        return new(sweep, adapter.Pins);
    }

    private static CheckDone CheckOf(string stored)
    {
        var parts = stored.Split(": ", 2);
        return new(parts[0], Good: false, parts[1]);
    }
}
