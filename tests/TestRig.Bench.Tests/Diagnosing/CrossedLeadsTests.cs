using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Diagnosing;

/// <summary>Leads that were clipped far from where they belong, found by a sweep that nobody told to look for them.</summary>
public class CrossedLeadsTests
{
    [Theory]
    [InlineData("U3.18", "U4.12")]
    [InlineData("Q1.C", "Q5.C")]
    [InlineData("U3.18", "OK4.5")]
    public async Task Two_that_are_exchanged_are_named_and_no_part_is_blamed(string one, string other)
    {
        var result = await SimulatedRun.SweepAsync(1, ExerciseMode.LogicOnly, $"lead:{one}+{other}=swapped");
        var fault = Assert.Single(result.Diagnosis.Faults);
        Assert.Equal($"lead:{one}+{other}=swapped", fault.Suspects[0].Faults[0].Name);
        Assert.Equal($"leads at {one} and {other}", fault.Suspects[0].Group[0]);
        Assert.Equal(0, result.Diagnosis.Misfits);
    }

    /// <summary>U4.12 and OK4.5 go low together, so what is clipped to either shows nearly the same.</summary>
    [Fact]
    public async Task One_at_another_channel_is_named()
    {
        var result = await SimulatedRun.SweepAsync(1, ExerciseMode.LogicOnly, "lead:U3.18=at-OK4.5");
        Assert.Equal("lead at U3.18", Assert.Single(Assert.Single(result.Diagnosis.Faults).Suspects[0].Group));
    }

    /// <summary>A bridge makes each channel answer the other's line as well as its own.</summary>
    [Fact]
    public async Task A_bridge_is_not_taken_for_leads()
    {
        var result = await SimulatedRun.SweepAsync(1, ExerciseMode.LogicOnly, "net:U3.18+U3.16=bridged");
        Assert.Contains("net:U3.18+U3.16=bridged", Assert.Single(result.Diagnosis.Faults).Suspects[0].Faults.Select(fault => fault.Name));
    }
}
