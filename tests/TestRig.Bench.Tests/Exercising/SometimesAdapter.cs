using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Tests.Adapters;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Exercising;

/// <summary>A board with a fault that comes and goes: two simulated ones, asked in turn.</summary>
/// <param name="isFaulty">Which of the runs, counted from 0, goes to the faulty one.</param>
internal sealed class SometimesAdapter(IAdapter whole, IAdapter faulty, Func<int, bool> isFaulty) : AdapterInFront(whole)
{
    private int _runs;

    public override async Task ArmAsync(AdapterLimits limits, CancellationToken cancellation)
    {
        await base.ArmAsync(limits, cancellation);
        await faulty.ArmAsync(limits, cancellation);
    }

    public override async Task ReleaseAsync(CancellationToken cancellation)
    {
        await base.ReleaseAsync(cancellation);
        await faulty.ReleaseAsync(cancellation);
    }

    public override async Task SelectAsync(ImmutableArray<string> high, CancellationToken cancellation)
    {
        await base.SelectAsync(high, cancellation);
        await faulty.SelectAsync(high, cancellation);
    }

    public override Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation) =>
        isFaulty(_runs++) ? faulty.RunAsync(program, cancellation) : base.RunAsync(program, cancellation);

    public override async ValueTask DisposeAsync()
    {
        await base.DisposeAsync();
        await faulty.DisposeAsync();
    }
}
