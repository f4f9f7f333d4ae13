using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Simulation;

/// <summary>A simulated bench that takes its time, as a real one does: for whoever watches. It survives being let go of, as a board does.</summary>
/// <param name="speed">How much faster than a real one it is, at least 1.</param>
public sealed class PacedAdapter(SimulatedAdapter bench, int speed, TimeProvider time) : IAdapter
{
    /// <summary>Timers are late by milliseconds: shorter waits are put together.</summary>
    private static readonly TimeSpan _shortest = TimeSpan.FromMilliseconds(10);

    private TimeSpan _owed;

    public AdapterIdentity Identity => bench.Identity;

    public ImmutableArray<AdapterPin> Pins => bench.Pins;

    public Task ArmAsync(AdapterLimits limits, CancellationToken cancellation) => PaceAsync(() => bench.ArmAsync(limits, cancellation), cancellation);

    public Task ReleaseAsync(CancellationToken cancellation) => PaceAsync(() => bench.ReleaseAsync(cancellation), cancellation);

    public Task SelectAsync(ImmutableArray<string> high, CancellationToken cancellation) => PaceAsync(() => bench.SelectAsync(high, cancellation), cancellation);

    public Task<ImmutableDictionary<string, Level>> ReadInputsAsync(CancellationToken cancellation) => PaceAsync(() => bench.ReadInputsAsync(cancellation), cancellation);

    public Task<ImmutableArray<LevelReading>> ReadLevelsAsync(ImmutableArray<string> pins, int samples, CancellationToken cancellation) =>
        PaceAsync(() => bench.ReadLevelsAsync(pins, samples, cancellation), cancellation);

    public Task<ImmutableArray<LeadReading>> CheckLeadsAsync(ImmutableArray<string> pins, CancellationToken cancellation) => PaceAsync(() => bench.CheckLeadsAsync(pins, cancellation), cancellation);

    public Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation) => PaceAsync(() => bench.RunAsync(program, cancellation), cancellation);

    public async ValueTask DisposeAsync() => await bench.ReleaseAsync(CancellationToken.None);

    private async Task PaceAsync(Func<Task> work, CancellationToken cancellation)
    {
        var began = bench.Time.Now;
        await work();
        await WaitAsync(began, cancellation);
    }

    private async Task<T> PaceAsync<T>(Func<Task<T>> work, CancellationToken cancellation)
    {
        var began = bench.Time.Now;
        var result = await work();
        await WaitAsync(began, cancellation);
        return result;
    }

    /// <summary>Whoever cancels gets what happened until then; the next call sees it.</summary>
    private async Task WaitAsync(long began, CancellationToken cancellation)
    {
        _owed += TimeSpan.FromTicks((bench.Time.Now - began) / SimulatedTime.PicosecondsOfTick / speed);
        if (_owed < _shortest)
            return;
        var wait = _owed;
        _owed = TimeSpan.Zero;
        await Task.Delay(wait, time, cancellation).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
    }
}
