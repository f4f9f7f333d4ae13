using System.Collections.Immutable;
using TestRig.Bench.Files;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>The real store as one process sees it: slow, full, or gone before it answers. What it does, it does as the real one.</summary>
/// <param name="kill">Kills the process that uses it.</param>
internal sealed class FaultyStore(IRunStore inner, World world, HostProcess process, Checker checker, StoreFaults faults, Random random, FaultCount count, Action kill) : IRunStore
{
    public string Place => inner.Place;

    /// <summary>Whether it still has its faults.</summary>
    public bool IsBad { get; set; } = true;

    public async Task BeginAsync(RunHeading run, CancellationToken cancellation)
    {
        await SlowlyAsync();
        await inner.BeginAsync(run, cancellation);
    }

    public async Task<RunSession> OpenSessionAsync(string run, SessionHeading session, CancellationToken cancellation)
    {
        await SlowlyAsync();
        return await inner.OpenSessionAsync(run, session, cancellation);
    }

    public async Task<IReadOnlyDictionary<long, long>> AppendAsync(RunSession session, CycleRecord cycle, IReadOnlyDictionary<long, KeptCycle> kept, CancellationToken cancellation)
    {
        await SlowlyAsync();
        if (Happens(faults.Full, "store full"))
            throw new RunStorageException("The disk of the run store is full.");
        IReadOnlyDictionary<long, long> bytes;
        if (faults.Planted == StoreFault.Loses)
            bytes = kept.ToDictionary(entry => entry.Key, _ => 1L);
        else
            bytes = await inner.AppendAsync(session, cycle, kept, cancellation);
        if (faults.Planted == StoreFault.Doubles)
            await inner.AppendAsync(session, cycle with { Number = cycle.Number + 1 }, ImmutableDictionary<long, KeptCycle>.Empty, cancellation);
        world.Tell($"cycle {cycle.Number} is stored: {string.Join(' ', cycle.Channels.Select(channel => channel.Condition))}");
        checker.Committed(cycle);
        if (Happens(faults.AnswerLost, "answer of the store lost"))
        {
            checker.PerhapsCommitted();
            throw new RunStorageException("The run store was gone before it answered.");
        }
        checker.AnswerIsUnderWay();
        if (Happens(faults.Killed, "process killed between commit and answer"))
        {
            kill();
            await new TaskCompletionSource().Task;
        }
        await AnswerAsync();
        checker.Acknowledged(cycle);
        return bytes;
    }

    public async Task<IReadOnlyDictionary<long, long>> KeepAsync(RunSession session, IReadOnlyDictionary<long, KeptCycle> kept, CancellationToken cancellation)
    {
        await SlowlyAsync();
        return await inner.KeepAsync(session, kept, cancellation);
    }

    public Task AppendPartAsync(RunSession session, TriedPart part, bool violates, CancellationToken cancellation) => inner.AppendPartAsync(session, part, violates, cancellation);

    public async Task<long> ForgetCapturesAsync(string run, IReadOnlyCollection<long> cycles, CancellationToken cancellation)
    {
        await SlowlyAsync();
        return await inner.ForgetCapturesAsync(run, cycles, cancellation);
    }

    public async Task EndSessionAsync(RunSession session, DateTimeOffset ended, string words, CancellationToken cancellation)
    {
        await SlowlyAsync();
        await inner.EndSessionAsync(session, ended, words, cancellation);
    }

    public async Task FinishAsync(RunSession session, DateTimeOffset ended, string verdict, string record, CancellationToken cancellation)
    {
        await SlowlyAsync();
        await inner.FinishAsync(session, ended, verdict, record, cancellation);
    }

    public Task AddNoteAsync(string run, RunNote note, CancellationToken cancellation) => inner.AddNoteAsync(run, note, cancellation);

    public Task<IReadOnlyList<ChannelFailures>> FailuresAsync(string run, CancellationToken cancellation) => inner.FailuresAsync(run, cancellation);

    public Task<IReadOnlyList<StoredRun>> ListAsync(RunFilter filter, CancellationToken cancellation) => inner.ListAsync(filter, cancellation);

    public Task<StoredRun?> FindAsync(string run, CancellationToken cancellation) => inner.FindAsync(run, cancellation);

    public Task<string?> RecordAsync(string run, CancellationToken cancellation) => inner.RecordAsync(run, cancellation);

    public IAsyncEnumerable<CycleRecord> CyclesAsync(string run, long from, CancellationToken cancellation) => inner.CyclesAsync(run, from, cancellation);

    public Task<IReadOnlyList<TriedPart>> PartsAsync(string run, CancellationToken cancellation) => inner.PartsAsync(run, cancellation);

    public Task<IReadOnlyList<KeptEntry>> KeptAsync(string run, CancellationToken cancellation) => inner.KeptAsync(run, cancellation);

    public Task<KeptCycle?> ReadKeptAsync(string run, long cycle, Board board, CancellationToken cancellation) => inner.ReadKeptAsync(run, cycle, board, cancellation);

    public Task DeleteAsync(string run, CancellationToken cancellation) => inner.DeleteAsync(run, cancellation);

    public ValueTask DisposeAsync() => inner.DisposeAsync();

    /// <summary>A request on its way; a process that is killed meanwhile has not stored anything.</summary>
    private async Task SlowlyAsync()
    {
        if (Happens(faults.Slow, "store slow"))
            await Task.Delay(TimeSpan.FromMilliseconds(random.Next(1, 20_000)), process.Time);
    }

    /// <summary>An answer on its way; a process that is killed meanwhile has stored, and does not know.</summary>
    private async Task AnswerAsync()
    {
        if (Happens(faults.Slow, "store slow"))
            await Task.Delay(TimeSpan.FromMilliseconds(random.Next(1, 3000)), process.Time);
        checker.AnswerHasCome();
    }

    private bool Happens(double share, string kind)
    {
        if (!IsBad || share == 0 || random.NextDouble() >= share)
            return false;
        count.Add(kind);
        world.Tell(kind);
        return true;
    }
}
