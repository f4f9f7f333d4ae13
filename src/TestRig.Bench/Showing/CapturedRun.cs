using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Showing;

/// <summary>What pictures of a run are drawn of, and captures written of.</summary>
/// <param name="Cycle">Null of a sweep as a whole.</param>
public sealed record CapturedRun(StoredRun Run, long? Cycle, SweepResult Sweep)
{
    public PictureHeading Heading => new(Sweep.Board.Name, Sweep.Started, Sweep.Adapter.IsSimulated);

    /// <summary>What the files of a channel are called.</summary>
    public string FileOf(ChannelResult channel) => Cycle is { } number ? RunFolder.InCycle(number, channel.Channel.Name) : channel.Channel.Name;

    /// <summary>The channel of this name, or all, that were exercised.</summary>
    /// <param name="channel">Only this one; null for all.</param>
    /// <returns>At least one.</returns>
    /// <exception cref="RunQuestionException">None was exercised.</exception>
    public IReadOnlyList<ChannelResult> Exercised(string? channel)
    {
        var exercised = Sweep.Channels.Where(result => result.Capture is not null && (channel is null || result.Channel.Name == channel)).ToList();
        return exercised.Count > 0
            ? exercised
            : throw new RunQuestionException($"{(channel is null ? "No channel" : $"Channel '{channel}'")} was exercised in {(Cycle is { } one ? $"cycle {one} of " : "")}run {Run.Heading.Id}: nothing was captured.", unknown: true);
    }

    /// <summary>What the picture of a channel shows.</summary>
    /// <param name="channel">With a capture.</param>
    /// <param name="over">What is laid over it; null for nothing.</param>
    /// <param name="from">From the start of the capture; null for its start.</param>
    /// <param name="to">From the start of the capture; null for its end.</param>
    /// <exception cref="RunQuestionException">The stretch of time does not lie within the capture.</exception>
    public WaveformPicture Picture(ChannelResult channel, RunOverlay? over = null, Duration? from = null, Duration? to = null)
    {
        var picture = WaveformPicture.Of(channel, Heading);
        if (over is not null)
        {
            var (other, name) = over.For(channel);
            picture = picture.Under(other, name);
        }
        if (from is null && to is null)
            return picture;
        var end = channel.Capture!.End;
        var (begin, until) = (Instant.Start + (from ?? Duration.Zero), to is { } written ? Instant.Start + written : end);
        return begin >= Instant.Start && begin < until && until <= end
            ? picture.Between(begin, until)
            : throw new RunQuestionException($"The capture of {channel.Channel.Name} is {end.SinceStart} long: 'from' and 'to' must lie within it, 'from' first.", unknown: false);
    }

    /// <summary>True of a soak that commanded nothing.</summary>
    public static bool WatchedIdle(StoredRun run) => run.Heading.Kind == RunKind.Soak && SoakOptionsJson.Read(run.Heading.Id, run.Heading.Options).WatchIdle;

    /// <exception cref="RunQuestionException">The board has no such channel.</exception>
    public static void CheckChannel(Board board, string? channel)
    {
        if (channel is not null && !board.Channels.Any(known => known.Name == channel))
            throw new RunQuestionException($"Board '{board.Name}' has no channel '{channel}'. It has {string.Join(", ", board.Channels.Select(known => known.Name))}.", unknown: true);
    }

    /// <param name="board">By whose profile.</param>
    /// <param name="cycle">The wanted one; null for a sweep as a whole, and for the first kept cycle of a soak that failed, or else the first that is kept.</param>
    /// <exception cref="RunQuestionException">Nothing was captured of it, or nothing is kept.</exception>
    /// <exception cref="RunStorageException">It cannot be read.</exception>
    public static async Task<CapturedRun> ReadAsync(IRunStore store, StoredRun run, Board board, long? cycle, CancellationToken cancellation)
    {
        // Of a sweep that never came to drive anything nobody knows by which adapter it would have been.
        if (run.Heading.Kind == RunKind.Sweep && cycle is null && !run.Sessions.IsEmpty)
            return new(run, null, await StoredSweep.ReadAsync(store, run, board, (_, _) => Diagnosis.None, cancellation));
        var entry = await KeptCycleAsync(store, run, cycle, cancellation);
        return new(run, entry.Cycle, await StoredSoak.SweepOfAsync(store, run, board, entry.Cycle, cancellation));
    }

    /// <inheritdoc cref="ReadAsync"/>
    public static async Task<KeptEntry> KeptCycleAsync(IRunStore store, StoredRun run, long? cycle, CancellationToken cancellation)
    {
        var kept = await store.KeptAsync(run.Heading.Id, cancellation);
        if (kept.Count == 0)
            throw new RunQuestionException($"No captures of run {run.Heading.Id} are kept: there is nothing to show.", unknown: true);
        if ((cycle is { } number ? kept.FirstOrDefault(entry => entry.Cycle == number) : kept.FirstOrDefault(entry => entry.Reason == KeepReason.Failure) ?? kept[0]) is { } entry)
            return entry;
        var nearest = kept.OrderBy(other => Math.Abs(other.Cycle - cycle!.Value)).Take(3).Select(other => SoakWords.Number(other.Cycle)).ToList();
        throw new RunQuestionException($"The captures of cycle {cycle} of run {run.Heading.Id} are not kept. Those of cycle {string.Join(", ", nearest)} are the nearest that are.", unknown: true);
    }
}
