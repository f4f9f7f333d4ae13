using TestRig.Bench.Adapters;
using TestRig.Bench.Tests.Adapters;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Exercising;

/// <summary>Another adapter, and what it was armed with and how often it ran.</summary>
internal sealed class LimitsKept(IAdapter inner) : AdapterInFront(inner)
{
    public AdapterLimits? Armed { get; private set; }

    public int Runs { get; private set; }

    public override Task ArmAsync(AdapterLimits limits, CancellationToken cancellation)
    {
        Armed = limits;
        return base.ArmAsync(limits, cancellation);
    }

    public override Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation)
    {
        Runs++;
        return base.RunAsync(program, cancellation);
    }
}
