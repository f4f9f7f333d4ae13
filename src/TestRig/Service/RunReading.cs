using System.Threading.RateLimiting;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Exercising;
using TestRig.Bench.Plotting;
using TestRig.Bench.Showing;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Service;

/// <summary>Reads kept runs for those who ask over the network. All of it comes from the store: nothing that they write is ever the name of a file.</summary>
internal sealed class RunReading(IRunStore store, PlotFont font) : IDisposable
{
    /// <summary>Those who wait beyond that are sent away: each holds a connection and a request.</summary>
    private const int MostWaiting = 100;

    private const int MostHeld = 8;

    /// <summary>Judging and drawing take a processor each; while a run goes on beside them one is left for it.</summary>
    private readonly ConcurrencyLimiter _work = new(new() { PermitLimit = Math.Max(1, Environment.ProcessorCount - 1), QueueLimit = MostWaiting, QueueProcessingOrder = QueueProcessingOrder.OldestFirst });

    private readonly RecentResults<(RunState Run, long? Cycle), CapturedRun> _captured = new(MostHeld);
    private readonly RecentResults<RunState, SweepResult> _sweeps = new(MostHeld);
    private readonly RecentResults<RunState, SoakFindings> _findings = new(MostHeld);

    public IRunStore Store => store;

    public PlotFont Font => font;

    public void Dispose() => _work.Dispose();

    /// <exception cref="RunQuestionException">There is none of this name.</exception>
    public async Task<StoredRun> FindAsync(string name, CancellationToken cancellation) =>
        await store.FindAsync(name, cancellation) ?? throw new RunQuestionException($"There is no run '{name}' on record. The list of runs has those that there are.", unknown: true);

    /// <summary>A run of a board's channels.</summary>
    /// <exception cref="RunQuestionException">There is none of this name, or it is a trial of parts.</exception>
    public async Task<StoredRun> FindOfChannelsAsync(string name, CancellationToken cancellation)
    {
        var run = await FindAsync(name, cancellation);
        return run.Heading.Kind != RunKind.Trial ? run : throw new RunQuestionException($"Run {name} is a trial of parts: it has no channels and no captures. Its record has its parts.", unknown: true);
    }

    /// <summary>What was captured of a run, or of a cycle of it.</summary>
    /// <param name="channel">Checked to be one of the board's; null for none.</param>
    /// <inheritdoc cref="CapturedRun.ReadAsync"/>
    public async Task<CapturedRun> CapturedAsync(StoredRun run, string? channel, long? cycle, CancellationToken cancellation)
    {
        var board = KeptProfile.Read(run);
        CapturedRun.CheckChannel(board, channel);
        // Which one it is when nobody says depends on what is kept now.
        var which = cycle is null && run.Heading.Kind == RunKind.Soak ? (await CapturedRun.KeptCycleAsync(store, run, null, cancellation)).Cycle : cycle;
        return await HeldAsync(_captured, (RunState.Of(run), which), () => CapturedRun.ReadAsync(store, run, board, which, cancellation), cancellation);
    }

    /// <summary>What is laid over a picture.</summary>
    /// <inheritdoc cref="RunOverlay.ReadAsync"/>
    public Task<RunOverlay> OverlayAsync(CapturedRun drawn, string wanted, CancellationToken cancellation) =>
        RunOverlay.ReadAsync(store, drawn, wanted, run => CapturedAsync(run, null, null, cancellation), cancellation);

    /// <summary>A sweep with its diagnosis.</summary>
    public async Task<SweepResult> SweepAsync(StoredRun run, CancellationToken cancellation) =>
        await HeldAsync(_sweeps, RunState.Of(run), () => StoredSweep.ReadAsync(store, run, KeptProfile.Read(run), BoardDiagnosis.Of, cancellation), cancellation);

    /// <summary>A run in numbers, with what explains its failures.</summary>
    /// <exception cref="RunQuestionException">It never came to drive anything.</exception>
    public async Task<SoakFindings> FindingsAsync(StoredRun run, CancellationToken cancellation) => await HeldAsync(
        _findings,
        RunState.Of(run),
        async () =>
        {
            var soak = new StoredSoak(run, KeptProfile.Read(run), CapturedRun.WatchedIdle(run), BoardDiagnosis.Of);
            await soak.ReadAsync(store, cancellation);
            return soak.Findings() ?? throw new RunQuestionException($"Run {run.Heading.Id} never came to drive anything: there is nothing to tell.", unknown: true);
        },
        cancellation);

    /// <summary>What takes a processor for a while, in its turn.</summary>
    /// <exception cref="ServiceBusyException">Too many wait already.</exception>
    public async Task<T> WorkAsync<T>(Func<Task<T>> work, CancellationToken cancellation)
    {
        using var lease = await _work.AcquireAsync(1, cancellation);
        if (!lease.IsAcquired)
            throw new ServiceBusyException();
        cancellation.ThrowIfCancellationRequested();
        return await work();
    }

    /// <inheritdoc cref="WorkAsync{T}(Func{Task{T}}, CancellationToken)"/>
    public Task<T> WorkAsync<T>(Func<T> work, CancellationToken cancellation) => WorkAsync(() => Task.FromResult(work()), cancellation);

    private async Task<TValue> HeldAsync<TKey, TValue>(RecentResults<TKey, TValue> results, TKey key, Func<Task<TValue>> read, CancellationToken cancellation)
        where TKey : notnull
        where TValue : class
    {
        return results.Find(key) ?? await WorkAsync(
            async () =>
            {
                // Somebody else may have had it read while this one waited.
                if (results.Find(key) is { } held)
                    return held;
                var result = await read();
                results.Hold(key, result);
                return result;
            },
            cancellation);
    }

    /// <summary>What was read of a run is what it still is as long as these are the same.</summary>
    private readonly record struct RunState(string Name, DateTimeOffset Started, int Sessions, long Cycles, DateTimeOffset? Ended)
    {
        public static RunState Of(StoredRun run) => new(run.Heading.Id, run.Heading.Started, run.Sessions.Length, run.Cycles, run.Ended);
    }
}
