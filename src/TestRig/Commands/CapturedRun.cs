using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;

namespace TestRig.Commands;

/// <summary>What pictures of a run are drawn of, and captures written of.</summary>
/// <param name="Cycle">Null of a sweep as a whole.</param>
internal sealed record CapturedRun(StoredRun Run, long? Cycle, SweepResult Sweep)
{
    public PictureHeading Heading => new(Sweep.Board.Name, Sweep.Started, Sweep.Adapter.IsSimulated);

    /// <summary>What the files of a channel are called.</summary>
    public string FileOf(ChannelResult channel) => Cycle is { } number ? RunFolder.InCycle(number, channel.Channel.Name) : channel.Channel.Name;

    /// <param name="channel">Only this one; null for all.</param>
    public List<ChannelResult> Exercised(string? channel) => [.. Sweep.Channels.Where(result => result.Capture is not null && (channel is null || result.Channel.Name == channel))];

    /// <summary>Why there is nothing where none of those was exercised.</summary>
    public BadUsageException NothingOf(string? channel) =>
        new([$"{(channel is null ? "No channel" : $"Channel '{channel}'")} was exercised in {(Cycle is { } one ? $"cycle {one} of " : "")}run {Run.Heading.Id}: nothing was captured."]);

    /// <summary>True of a soak that commanded nothing.</summary>
    public static bool WatchedIdle(StoredRun run) => run.Heading.Kind == RunKind.Soak && SoakOptionsJson.Read(run.Heading.Id, run.Heading.Options).WatchIdle;

    /// <exception cref="BadUsageException">The board has no such channel.</exception>
    public static void CheckChannel(Board board, string? channel)
    {
        if (channel is not null && !board.Channels.Any(known => known.Name == channel))
            throw new BadUsageException([$"Board '{board.Name}' has no channel '{channel}'. It has {string.Join(", ", board.Channels.Select(known => known.Name))}."]);
    }

    /// <param name="board">By whose profile.</param>
    /// <param name="cycle">The wanted one; null for a sweep as a whole, and for the first kept cycle of a soak that failed, or else the first that is kept.</param>
    /// <exception cref="BadUsageException">Nothing was captured of it, or nothing is kept.</exception>
    public static async Task<CapturedRun> ReadAsync(IRunStore store, StoredRun run, Board board, long? cycle, CancellationToken cancellation)
    {
        if (run.Heading.Kind == RunKind.Sweep && cycle is null)
            return new(run, null, await StoredSweep.ReadAsync(store, run, board, (_, _) => Diagnosis.None, cancellation));
        var kept = await store.KeptAsync(run.Heading.Id, cancellation);
        if (kept.Count == 0)
            throw new BadUsageException([$"No captures of run {run.Heading.Id} are kept: there is nothing to show."]);
        var entry = cycle is { } number ? kept.FirstOrDefault(entry => entry.Cycle == number) : kept.FirstOrDefault(entry => entry.Reason == KeepReason.Failure) ?? kept[0];
        if (entry is null)
        {
            var nearest = kept.OrderBy(other => Math.Abs(other.Cycle - cycle!.Value)).Take(3).Select(other => SoakWords.Number(other.Cycle)).ToList();
            throw new BadUsageException([$"The captures of cycle {cycle} of run {run.Heading.Id} are not kept. Those of cycle {string.Join(", ", nearest)} are the nearest that are; 'testrig runs judge {run.Heading.Id}' lists all."]);
        }
        return new(run, entry.Cycle, await StoredSoak.SweepOfAsync(store, run, board, entry.Cycle, cancellation));
    }
}
