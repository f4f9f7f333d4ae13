using TestRig.Bench.Exercising;
using TestRig.Bench.Injecting;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Diagnosing;

/// <summary>What is proposed to settle an ambiguity is done on the simulated bench, and settles it.</summary>
public class SettlingTests
{
    private static readonly SweepOptions _logic = new(ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: false);

    private static readonly Board _dome = DemoBoards.Load("dome-drive");

    /// <summary>Nothing tells whether an output or the input behind it holds a net low, while both are there.</summary>
    [Theory]
    [InlineData("OK3=stuck-low")]
    [InlineData("Q3:B=holds-low")]
    public async Task A_net_that_its_driver_or_its_receiver_holds_is_told_by_pulling_the_driver(string fault)
    {
        var result = await DemoBoards.SweepAsync(_dome, 5, _logic, fault);
        Assert.Equal(["OK3", "Q3"], result.Diagnosis.Faults[0].Suspects[0].Group.Where(item => item is "OK3" or "Q3").Order());
        Assert.Contains("Pull OK3 from its socket", result.Diagnosis.NextProbe, StringComparison.Ordinal);
        Assert.Contains("OK3 from Q3", result.Diagnosis.NextProbe, StringComparison.Ordinal);
        // Pulled low it stays low, whoever holds it.
        Assert.Null(result.Diagnosis.InjectAt);
        var pulled = await DemoBoards.MeasureAsync(_dome, 5, _logic, fault, "OK3=removed");
        Assert.Equal(fault[0] == 'O' ? Level.High : Level.Low, pulled.Channels.SelectMany(channel => channel.Traces).First(trace => trace.TestPoint == "OK3.5").Before);
    }

    /// <summary>Without a lead at OK3.5, a dead isolator and a dead driver look alike.</summary>
    [Theory]
    [InlineData("OK3=dead", InjectionOutcome.BehindWorks)]
    [InlineData("Q3=dead", InjectionOutcome.FaultBehind)]
    public async Task Two_stages_with_no_lead_between_them_are_told_by_a_lead_or_by_an_injection(string fault, InjectionOutcome outcome)
    {
        var board = _dome.WithTestPoint(_dome.TestPoints.Single(point => point.Name == "OK3.5") with { AdapterPin = null });
        var result = await DemoBoards.SweepAsync(board, 5, _logic, fault);
        Assert.Equal(["OK3", "Q3"], result.Diagnosis.Faults[0].Suspects[0].Group.Where(item => item is "OK3" or "Q3").Order());
        Assert.StartsWith("Clip a lead to OK3.5 and sweep again.", result.Diagnosis.NextProbe, StringComparison.Ordinal);
        Assert.Contains("if Q3.C follows, everything behind OK3.5 is good", result.Diagnosis.NextProbe, StringComparison.Ordinal);
        Assert.Equal("OK3.5", result.Diagnosis.InjectAt);
        var run = new InjectionRun(
            board, Injection.At(board, result.Diagnosis.InjectAt!).Injection!, null,
            bench => new SimulatedAdapter(bench, FaultPlan.Of(bench, [fault]).Plan!, 5, motorSupplyOn: false), _logic, TimeProvider.System);
        Assert.Equal(outcome, (await run.RunAsync((_, _) => { }, new Progress<SweepEvent>(), CancellationToken.None)).Outcome);
    }

    [Fact]
    public async Task One_part_that_is_left_needs_nothing_settled()
    {
        var result = await DemoBoards.SweepAsync(_dome, 5, _logic, "OK3=dead");
        Assert.Null(result.Diagnosis.NextProbe);
    }

    /// <summary>A good board from which a part is missing has lost the channels that pass it, and no others.</summary>
    [Theory]
    [InlineData("OK3", "shutter-open")]
    [InlineData("Q1", "rotate-left")]
    public async Task A_removed_part_passes_nothing(string part, string channel)
    {
        var result = await DemoBoards.MeasureAsync(_dome, 5, _logic, $"{part}=removed");
        Assert.Equal([channel], result.Channels.Where(judged => judged.Condition != Condition.Working).Select(judged => judged.Channel.Name));
    }
}
