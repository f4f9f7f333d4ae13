using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;
using TestRig.Tests.Expectations;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>Whole sweeps: the judge sees captures of the simulated bench and nothing else of it.</summary>
public class SimulatedSweepTests
{
    [Fact]
    public async Task A_healthy_board_is_all_working_whatever_its_parts_are_like()
    {
        for (var seed = 0; seed < 300; seed++)
        {
            var result = await SimulatedRun.SweepAsync(seed);
            Assert.True(
                result.Channels.All(channel => channel.Condition == Condition.Working) && !result.Incomplete,
                $"seed {seed}: {string.Join("; ", result.Channels.Select(channel => channel.Summary))} {result.Ending.Words}");
        }
    }

    [Fact]
    public async Task A_healthy_machine_that_moves_is_all_working_whatever_its_parts_are_like()
    {
        for (var seed = 0; seed < 60; seed++)
        {
            var result = await SimulatedRun.SweepAsync(seed, ExerciseMode.Motion);
            Assert.True(
                result.Channels.All(channel => channel.Condition == Condition.Working) && !result.Incomplete,
                $"seed {seed}: {string.Join("; ", result.Channels.Select(channel => channel.Summary))} {result.Ending.Words}");
            var home = result.Channels[0].Findings.First(finding => finding.TestPoint == "home-switch");
            Assert.Contains("settles", home.Words, StringComparison.Ordinal);
        }
    }

    [Theory]
    [MemberData(nameof(DomeFaults.All), MemberType = typeof(DomeFaults))]
    public async Task One_fault_is_judged_and_named_as_a_technician_would(string fault, bool moves, string channels, string condition, string suspect)
    {
        for (var seed = 1; seed <= 8; seed++)
        {
            var result = await SimulatedRun.SweepAsync(seed, moves ? ExerciseMode.Motion : ExerciseMode.LogicOnly, fault);
            var conditions = SimulatedRun.Conditions(result);
            Assert.True(
                conditions.All(entry => entry.Value == (DomeFaults.Concerns(channels, entry.Key) ? condition : "working")),
                $"seed {seed}: {string.Join(", ", conditions)}");
            Assert.Contains(suspect, result.Diagnosis.Suspects.First().Group);
        }
    }

    [Fact]
    public async Task An_intermittent_isolator_is_dead_on_some_benches_and_working_on_others()
    {
        var seen = new HashSet<string>();
        for (var seed = 0; seed < 20; seed++)
        {
            var conditions = SimulatedRun.Conditions(await SimulatedRun.SweepAsync(seed, ExerciseMode.LogicOnly, "OK4=intermittent"));
            Assert.All(conditions.Where(entry => entry.Key != "shutter-close"), entry => Assert.Equal("working", entry.Value));
            seen.Add(conditions["shutter-close"]);
        }
        Assert.Equal(["dead", "working"], seen.Order());
    }

    [Theory]
    [InlineData("lead:J1.6=open", SweepOutcome.StoppedForSafety)]
    [InlineData("lead:emergency-stop=open", SweepOutcome.StoppedForSafety)]
    [InlineData("lead:LOGIC=open", SweepOutcome.NotReady)]
    public async Task What_must_be_whole_before_anything_is_driven_ends_the_sweep_when_it_is_not(string fault, SweepOutcome expected)
    {
        var result = await SimulatedRun.SweepAsync(1, ExerciseMode.LogicOnly, fault);
        Assert.Equal(expected, result.Ending.Outcome);
        Assert.All(result.Channels, channel => Assert.Equal(Condition.NotTested, channel.Condition));
    }

    [Fact]
    public async Task A_motor_supply_that_is_on_stops_a_logic_only_sweep()
    {
        var result = await SimulatedRun.SweepAsync(new SimulatedAdapter(SimulatedRun.Dome, FaultPlan.None, 1, motorSupplyOn: true), ExerciseMode.LogicOnly);
        Assert.Equal(SweepOutcome.StoppedForSafety, result.Ending.Outcome);
    }

    [Fact]
    public async Task A_limit_switch_that_is_held_leaves_only_its_channel_not_tested()
    {
        var conditions = SimulatedRun.Conditions(await SimulatedRun.SweepAsync(1, ExerciseMode.LogicOnly, "limit-left=stuck-low"));
        Assert.All(conditions, entry => Assert.Equal(entry.Key == "rotate-left" ? "not-tested" : "working", entry.Value));
    }

    [Fact]
    public async Task Whatever_is_shown_says_simulated()
    {
        var result = await SimulatedRun.SweepAsync(7);
        Assert.Equal("simulated", result.Adapter.Kind);
        Assert.Equal("SIMULATED bench (seed 7)", result.Adapter.Board);
        Assert.StartsWith("SIMULATED", TestRig.Bench.Reporting.Words.Verdict(result), StringComparison.Ordinal);
        Assert.Contains("\"kind\": \"simulated\"", TestRig.Bench.Reporting.RunJson.Write(result, "dome", []), StringComparison.Ordinal);
    }
}
