using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;
using TestRig.Tests.Expectations;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>Whole sweeps of a board without motion, whose relay contacts bounce.</summary>
public class TideGaugeSweepTests
{
    private static readonly Board TideGauge = DemoBoards.Load("tide-gauge");

    [Fact]
    public async Task A_healthy_panel_is_all_working_whatever_its_parts_are_like_and_its_contacts_bounce()
    {
        var bounced = 0;
        for (var seed = 0; seed < 50; seed++)
        {
            var result = await SweepAsync(seed);
            Assert.True(
                result.Channels.Length == 8 && result.Channels.All(channel => channel.Condition == Condition.Working) && !result.Incomplete,
                $"seed {seed}: {string.Join("; ", result.Channels.Select(channel => channel.Summary))} {result.Ending.Words}");
            bounced += result.Channels.SelectMany(channel => channel.Findings).Count(finding => finding is { TestPoint: "K1.NO", Bounces: > 0, Verdict: Verdict.Conforms });
        }
        Assert.True(bounced > 50, $"{bounced} of 100 closings and openings of K1 bounced");
    }

    [Theory]
    [MemberData(nameof(TideGaugeFaults.All), MemberType = typeof(TideGaugeFaults))]
    public async Task One_fault_is_judged_and_named_as_a_technician_would(string fault, string channels, string condition, string suspect)
    {
        for (var seed = 1; seed <= 8; seed++)
        {
            var result = await SweepAsync(seed, faults: fault);
            var conditions = SimulatedRun.Conditions(result);
            Assert.True(
                conditions.All(entry => entry.Value == (TideGaugeFaults.Concerns(channels, entry.Key) ? condition : "working")),
                $"seed {seed}: {string.Join(", ", conditions)}; {string.Join("; ", result.Channels.Select(channel => channel.Summary))}");
            Assert.True(result.Diagnosis.Suspects.First().Group.Contains(suspect), $"seed {seed}: {string.Join("; ", result.Diagnosis.Suspects.Select(known => $"{string.Join(" / ", known.Group)} {known.Words} {known.Belief}"))}");
        }
    }

    /// <summary>4.7 kohm to 5 V at the contact against the 1 kohm to ground at the line: 0.88 V, which every input takes for low. With 4.7 kohm there it would be 2.5 V, and nothing could be driven.</summary>
    [Fact]
    public async Task A_line_is_held_idle_by_the_resistor_that_the_profile_names()
    {
        var result = await SweepAsync(1, faults: "net:P1.2+K1.NO=bridged");
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        Assert.Contains("bridge between K1.NO and P1.2", result.Diagnosis.Suspects.First().Group);
    }

    [Theory]
    [InlineData(ExerciseMode.LogicOnly)]
    [InlineData(ExerciseMode.Motion)]
    public async Task Nothing_is_said_of_motors_where_nothing_moves(ExerciseMode mode)
    {
        var result = await SweepAsync(1, mode);
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        string[] said =
        [
            .. Cautions.For(TideGauge, mode), .. result.Checks.Select(check => check.Words), .. result.Channels.Select(channel => channel.Summary),
            .. result.Channels.SelectMany(channel => channel.Findings).Select(finding => finding.Words),
        ];
        Assert.All(said, words => Assert.DoesNotMatch("(?i)motor|motion|axis|WILL MOVE", words));
        Assert.Contains(said, words => words.Contains("telephone line", StringComparison.Ordinal));
    }

    [Fact]
    public void Motion_may_be_asked_for_only_where_something_moves()
    {
        var asked = new SweepOptions(ExerciseMode.Motion, MotorOffConfirmed: false, NoStopInputAcknowledged: false);
        Assert.Equal(ExerciseMode.LogicOnly, asked.On(TideGauge).Mode);
        Assert.Equal(ExerciseMode.Motion, asked.On(SimulatedRun.Dome).Mode);
    }

    [Fact]
    public void A_relay_is_never_weak_and_what_it_can_be_is_listed()
    {
        var (plan, errors) = FaultPlan.Of(TideGauge, ["K1=weak"]);
        Assert.Null(plan);
        Assert.Contains("K1, a relay, cannot be 'weak'; it can be: dead, stuck-low, stuck-high, bouncing, slow", Assert.Single(errors), StringComparison.Ordinal);
    }

    private static Task<SweepResult> SweepAsync(int seed, ExerciseMode mode = ExerciseMode.LogicOnly, params string[] faults) =>
        DemoBoards.SweepAsync(TideGauge, seed, new(mode, MotorOffConfirmed: false, NoStopInputAcknowledged: false), faults);
}
