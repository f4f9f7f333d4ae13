using TestRig.Bench.Simulation;
using TestRig.Core.Boards;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>A simulated bench with faults that it surely has: one that cannot be written so fails the test.</summary>
internal static class FaultyBench
{
    public static SimulatedAdapter Of(Board board, int seed, IEnumerable<string> faults, bool motorSupplyOn = false) => new(board, Plan(board, faults), seed, motorSupplyOn);

    public static FaultPlan Plan(Board board, IEnumerable<string> faults)
    {
        var (plan, errors) = FaultPlan.Of(board, faults);
        Assert.Empty(errors);
        return plan!;
    }
}
