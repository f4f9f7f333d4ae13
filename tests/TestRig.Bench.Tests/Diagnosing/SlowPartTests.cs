using TestRig.Bench.Exercising;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Diagnosing;

/// <summary>
/// A buffer may take 14 or 18 ns, and the adapter of these sweeps tells 1.81 µs: it cannot see one that is three times too slow, and it sees one that is a thousand times.
/// </summary>
public class SlowPartTests
{
    [Theory]
    [InlineData("U3:18=slow:1000x", FaultMode.Slow, "rotate-left")]
    [InlineData("U3=slow:1000x", FaultMode.WholePackage, "rotate-left", "rotate-right", "shutter-open", "shutter-close", "flap-raise", "flap-lower")]
    public async Task What_is_far_slower_than_the_adapter_needs_to_see_it_is_named(string fault, FaultMode mode, params string[] channels)
    {
        var sweep = await SweepAsync(fault);
        Assert.All(sweep.Channels, channel => Assert.Equal(channels.Contains(channel.Channel.Name) ? Condition.Slow : Condition.Working, channel.Condition));
        var found = Assert.Single(sweep.Diagnosis.Faults);
        Assert.Equal("U3", Assert.Single(found.Suspects[0].Group));
        Assert.Equal(mode, found.Suspects[0].Mode);
        Assert.Equal(channels, found.Channels);
        Assert.Empty(sweep.Diagnosis.Unexplained);
    }

    /// <summary>No other fault explains a delay that it has no part in.</summary>
    [Fact]
    public async Task Beside_another_fault_both_are_named()
    {
        var sweep = await SweepAsync("U3:18=slow:1000x", "OK3=dead");
        Assert.Equal([("OK3", FaultMode.Dead), ("U3", FaultMode.Slow)], sweep.Diagnosis.Faults.Select(found => (found.Suspects[0].Group[0], found.Suspects[0].Mode)).Order());
    }

    private static Task<SweepResult> SweepAsync(params string[] faults) =>
        DemoBoards.SweepAsync(DemoBoards.Load("dome-drive"), 1, new(ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: false), faults);
}
