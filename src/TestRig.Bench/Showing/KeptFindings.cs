using System.Collections.Immutable;
using System.Runtime.CompilerServices;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Judging;

namespace TestRig.Bench.Showing;

/// <summary>A cycle whose captures are kept, judged again.</summary>
public sealed record KeptFindings(KeptEntry Kept, ImmutableArray<ChannelResult> Channels)
{
    /// <summary>In order.</summary>
    /// <param name="board">By whose profile: the run's own, or a changed one.</param>
    /// <param name="cycle">Only this one; null for all that are kept.</param>
    /// <exception cref="RunQuestionException">Nothing is kept of it.</exception>
    /// <exception cref="Files.RunStorageException">They cannot be read.</exception>
    public static async IAsyncEnumerable<KeptFindings> JudgeAsync(IRunStore store, StoredRun run, Board board, long? cycle, [EnumeratorCancellation] CancellationToken cancellation)
    {
        var kept = (await store.KeptAsync(run.Heading.Id, cancellation)).Where(entry => cycle is null || entry.Cycle == cycle).ToDictionary(entry => entry.Cycle);
        if (kept.Count == 0)
            throw new RunQuestionException($"No captures of {(cycle is { } one ? $"cycle {one}" : "any cycle")} of run {run.Heading.Id} are kept.", unknown: true);
        var watchedIdle = CapturedRun.WatchedIdle(run);
        var left = kept.Count;
        await foreach (var record in store.CyclesAsync(run.Heading.Id, kept.Keys.Min(), cancellation))
        {
            // Of a soak that goes on, captures may have been forgotten since.
            if (kept.TryGetValue(record.Number, out var entry) && await store.ReadKeptAsync(run.Heading.Id, record.Number, board, cancellation) is { } captures)
                yield return new(entry, Rejudging.Of(board, captures, record, watchedIdle));
            if (entry is not null && --left == 0)
                break;
        }
    }
}
