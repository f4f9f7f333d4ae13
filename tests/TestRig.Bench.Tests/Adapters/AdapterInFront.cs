using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Adapters;

/// <summary>Another adapter, as it is: a test changes what it wants to change.</summary>
internal abstract class AdapterInFront(IAdapter inner) : IAdapter
{
    public virtual AdapterIdentity Identity => inner.Identity;

    public virtual ImmutableArray<AdapterPin> Pins => inner.Pins;

    public virtual Task ArmAsync(AdapterLimits limits, CancellationToken cancellation) => inner.ArmAsync(limits, cancellation);

    public virtual Task ReleaseAsync(CancellationToken cancellation) => inner.ReleaseAsync(cancellation);

    public virtual Task SelectAsync(ImmutableArray<string> high, CancellationToken cancellation) => inner.SelectAsync(high, cancellation);

    public Task<ImmutableDictionary<string, Level>> ReadInputsAsync(CancellationToken cancellation) => inner.ReadInputsAsync(cancellation);

    public Task<ImmutableArray<LevelReading>> ReadLevelsAsync(ImmutableArray<string> pins, int samples, CancellationToken cancellation) =>
        inner.ReadLevelsAsync(pins, samples, cancellation);

    public Task<ImmutableArray<LeadReading>> CheckLeadsAsync(ImmutableArray<string> pins, CancellationToken cancellation) => inner.CheckLeadsAsync(pins, cancellation);

    public virtual Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation) => inner.RunAsync(program, cancellation);

    public virtual ValueTask DisposeAsync() => inner.DisposeAsync();
}
