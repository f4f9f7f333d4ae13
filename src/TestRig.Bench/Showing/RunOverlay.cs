using TestRig.Bench.Storage;
using TestRig.Core.Judging;

namespace TestRig.Bench.Showing;

/// <summary>What is laid over the picture of a channel: another channel of the same cycle, or the same channel of another run.</summary>
public sealed class RunOverlay
{
    private readonly CapturedRun _drawn;
    private readonly string? _sibling;
    private readonly string _run;

    private RunOverlay(CapturedRun drawn, string? sibling) => (_drawn, _sibling, _run) = (drawn, sibling, drawn.Run.Heading.Id);

    /// <param name="drawn">What it is laid over.</param>
    /// <param name="wanted">A channel's name, or a run's.</param>
    /// <param name="read">Reads what was captured in another run.</param>
    /// <exception cref="RunQuestionException">There is no such channel and no such run, or the run has nothing to lay over.</exception>
    /// <exception cref="Files.RunStorageException">It cannot be read.</exception>
    public static async Task<RunOverlay> ReadAsync(IRunStore store, CapturedRun drawn, string wanted, Func<StoredRun, Task<CapturedRun>> read, CancellationToken cancellation)
    {
        if (drawn.Sweep.Channels.Any(channel => channel.Channel.Name == wanted))
            return new(drawn, wanted);
        if (await store.FindAsync(wanted, cancellation) is not { } run)
            throw new RunQuestionException($"There is no channel '{wanted}' on this board, and no run of that name: nothing can be laid over.", unknown: true);
        if (run.Heading.Kind == RunKind.Trial)
            throw new RunQuestionException($"Run {wanted} is a trial of parts: it has no channels and no captures, and cannot be laid over.", unknown: false);
        return new(await read(run), null);
    }

    /// <summary>What is laid over a channel, and what it is called.</summary>
    /// <exception cref="RunQuestionException">It was not exercised.</exception>
    public (ChannelResult Other, string Name) For(ChannelResult channel)
    {
        var name = _sibling ?? $"{channel.Channel.Name} of {_run}";
        var other = _drawn.Sweep.Channels.FirstOrDefault(result => result.Channel.Name == (_sibling ?? channel.Channel.Name));
        return other?.Capture is not null ? (other, name) : throw new RunQuestionException($"{name} was not exercised: it cannot be laid over.", unknown: false);
    }
}
