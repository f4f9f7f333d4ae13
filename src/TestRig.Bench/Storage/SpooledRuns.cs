using System.Runtime.CompilerServices;
using TestRig.Bench.Files;
using TestRig.Core.Boards;

namespace TestRig.Bench.Storage;

/// <summary>A spool's two stores as one.</summary>
internal sealed class SpooledRuns(RunSpool spool, RunStore local, RunStore shared) : IRunStore
{
    public string Place => $"{shared.Place} by way of {local.Place}";

    public Task BeginAsync(RunHeading run, CancellationToken cancellation) => ToldAsync(run.Id, async () =>
    {
        await local.BeginAsync(run, cancellation);
        return true;
    });

    public Task<RunSession> OpenSessionAsync(string run, SessionHeading session, CancellationToken cancellation) => ToldAsync(run, async () =>
    {
        if (!await local.HasAsync(run, cancellation) && await (await spool.SharedAsync(cancellation)).FindAsync(run, cancellation) is { } there)
        {
            throw new RunStorageException(there.Ended is not null
                ? $"The run '{run}' in the run store {shared.Place} has come to its end: nothing can be added to it. Begin a new one."
                : $"The run '{run}' was begun by another bench ({(there.Sessions.IsEmpty ? "its store has it" : there.Sessions[^1].Host)}): only its own store has all of it. Go on there; or, when that store is lost, with --store {shared.Place}.");
        }
        return await local.OpenSessionAsync(run, session, cancellation);
    });

    public Task<IReadOnlyDictionary<long, long>> AppendAsync(RunSession session, CycleRecord cycle, IReadOnlyDictionary<long, KeptCycle> kept, CancellationToken cancellation) =>
        ToldAsync(session.Run, () => local.AppendAsync(session, cycle, kept, cancellation));

    public Task<IReadOnlyDictionary<long, long>> KeepAsync(RunSession session, IReadOnlyDictionary<long, KeptCycle> kept, CancellationToken cancellation) =>
        ToldAsync(session.Run, () => local.KeepAsync(session, kept, cancellation));

    public Task AppendPartAsync(RunSession session, TriedPart part, bool violates, CancellationToken cancellation) => ToldAsync(session.Run, async () =>
    {
        await local.AppendPartAsync(session, part, violates, cancellation);
        return true;
    });

    public Task<long> ForgetCapturesAsync(string run, IReadOnlyCollection<long> cycles, CancellationToken cancellation) =>
        ToldAsync(run, () => WhereItIsAsync(run, store => store.ForgetCapturesAsync(run, cycles, cancellation), cancellation));

    public Task EndSessionAsync(RunSession session, DateTimeOffset ended, string words, CancellationToken cancellation) => ToldAsync(session.Run, () => WhereItIsAsync(
        session.Run,
        async store =>
        {
            await store.EndSessionAsync(session, ended, words, cancellation);
            return true;
        },
        cancellation));

    public Task FinishAsync(RunSession session, DateTimeOffset ended, string verdict, string record, CancellationToken cancellation) => ToldAsync(session.Run, async () =>
    {
        await local.FinishAsync(session, ended, verdict, record, cancellation);
        return true;
    });

    public Task AddNoteAsync(string run, RunNote note, CancellationToken cancellation) => ToldAsync(run, () => WhereItIsAsync(
        run,
        async store =>
        {
            await store.AddNoteAsync(run, note, cancellation);
            return true;
        },
        cancellation));

    public Task<IReadOnlyList<ChannelFailures>> FailuresAsync(string run, CancellationToken cancellation) => WhereItIsAsync(run, store => store.FailuresAsync(run, cancellation), cancellation);

    public async Task<IReadOnlyList<StoredRun>> ListAsync(RunFilter filter, CancellationToken cancellation)
    {
        // Read first: a run that is handed over meanwhile is in one of the two lists at least.
        var here = await local.ListAsync(filter, cancellation);
        return RunSpool.Together(here, await (await spool.SharedAsync(cancellation)).ListAsync(filter, cancellation));
    }

    public async Task<StoredRun?> FindAsync(string run, CancellationToken cancellation) =>
        await local.FindAsync(run, cancellation) ?? await (await spool.SharedAsync(cancellation)).FindAsync(run, cancellation);

    public Task<string?> RecordAsync(string run, CancellationToken cancellation) => WhereItIsAsync(run, store => store.RecordAsync(run, cancellation), cancellation);

    public async IAsyncEnumerable<CycleRecord> CyclesAsync(string run, long from, [EnumeratorCancellation] CancellationToken cancellation)
    {
        var next = from;
        if (await local.HasAsync(run, cancellation))
        {
            await using var cycles = local.CyclesAsync(run, from, cancellation).GetAsyncEnumerator(cancellation);
            while (true)
            {
                try
                {
                    if (!await cycles.MoveNextAsync())
                        yield break;
                }
                catch (RunStorageException)
                {
                    // It may have been handed over meanwhile.
                    if (await local.HasAsync(run, cancellation))
                        throw;
                    break;
                }
                next = cycles.Current.Number + 1;
                yield return cycles.Current;
            }
        }
        await foreach (var cycle in (await spool.SharedAsync(cancellation)).CyclesAsync(run, next, cancellation))
            yield return cycle;
    }

    public Task<IReadOnlyList<TriedPart>> PartsAsync(string run, CancellationToken cancellation) => WhereItIsAsync(run, store => store.PartsAsync(run, cancellation), cancellation);

    public Task<IReadOnlyList<KeptEntry>> KeptAsync(string run, CancellationToken cancellation) => WhereItIsAsync(run, store => store.KeptAsync(run, cancellation), cancellation);

    public Task<KeptCycle?> ReadKeptAsync(string run, long cycle, Board board, CancellationToken cancellation) => WhereItIsAsync(run, store => store.ReadKeptAsync(run, cycle, board, cancellation), cancellation);

    public Task DeleteAsync(string run, CancellationToken cancellation) => spool.DeleteAsync(run, cancellation);

    /// <summary>The stores are the spool's, which ends them.</summary>
    public ValueTask DisposeAsync() => ValueTask.CompletedTask;

    private async Task<T> ToldAsync<T>(string run, Func<Task<T>> change)
    {
        var changed = await change();
        spool.Tell(run);
        return changed;
    }

    /// <summary>In the local store where it has the run, and else in the shared one.</summary>
    private async Task<T> WhereItIsAsync<T>(string run, Func<RunStore, Task<T>> work, CancellationToken cancellation)
    {
        if (await local.HasAsync(run, cancellation))
        {
            try
            {
                return await work(local);
            }
            catch (RunStorageException)
            {
                // It may have been handed over meanwhile.
                if (await local.HasAsync(run, cancellation))
                    throw;
            }
        }
        return await work(await spool.SharedAsync(cancellation));
    }
}
