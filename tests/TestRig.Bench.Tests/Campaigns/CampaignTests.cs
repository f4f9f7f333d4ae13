using System.Collections.Immutable;
using TestRig.Bench.Campaigns;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Campaigns;

/// <summary>A campaign tells good judges and diagnosers from bad ones; that those of the program are good, the command shows.</summary>
public class CampaignTests
{
    private static readonly CampaignOptions _singly = new(ExerciseMode.LogicOnly, Seed: 1, Healthy: 20, Pairs: 0, Suggest: false);

    [Fact]
    public void A_judge_who_finds_everything_working_fails_the_first_goal()
    {
        var result = Run(LampBoards.One, _singly, (bench, seed, faults) => Blind(bench.Measure(new(seed), faults)));
        Assert.False(result.Goals[0].Held);
        Assert.Equal(0, result.Detected);
        Assert.Equal(result.Detectable.Length, result.FellShort.Length);
    }

    [Fact]
    public void A_diagnoser_who_names_nothing_fails_the_second_goal()
    {
        var result = Run(LampBoards.One, _singly, (bench, seed, faults) => bench.Measure(new(seed), faults));
        Assert.True(result.Goals[0].Held);
        Assert.False(result.Goals[1].Held);
        Assert.Equal(0, result.Isolated(3));
        Assert.Equal(result.Detectable.Length, result.FellShort.Length);
    }

    [Fact]
    public void A_diagnoser_who_always_names_the_same_part_is_right_of_that_part_only()
    {
        var dead = Fault(LampBoards.One, "line:lamp=dead");
        var result = Run(LampBoards.One, _singly, (bench, seed, faults) => Named(bench.Measure(new(seed), faults), dead));
        Assert.Equal(1, result.Isolated(1));
        Assert.Equal(1, result.AsBound);
        Assert.DoesNotContain(result.FellShort, trial => trial.Fault == dead);
    }

    /// <summary>The trial's own class is known here, as no diagnoser knows it: so it can be seen that a diagnoser without a flaw passes.</summary>
    [Fact]
    public void A_diagnoser_who_names_just_what_no_sweep_tells_apart_passes()
    {
        var classes = Run(LampBoards.One, _singly, (bench, seed, faults) => bench.Measure(new(seed), faults)).Classes;
        var result = Run(LampBoards.One, _singly, (bench, seed, faults) =>
            Named(bench.Measure(new(seed), faults), [.. classes.First(each => each.Faults.Contains(faults[0])).Faults]));
        Assert.All(result.Goals, goal => Assert.True(goal.Held, goal.Words));
        Assert.Empty(result.FellShort);
        Assert.Equal(result.BoundIsolated(3), result.Isolated(3));
    }

    [Fact]
    public void An_alarm_of_a_healthy_board_fails_its_goal_and_is_counted()
    {
        var none = Run(LampBoards.One, _singly, (bench, seed, faults) => bench.Measure(new(seed), faults));
        Assert.True(none.Goals[^1].Held);
        // 1 − 0.05^(1/20)
        Assert.Equal(0.13911, none.Healthy.AlarmsAtMost, 1e-5);
        var one = none with { Healthy = new(20, [new(7, "lamp: dead")]) };
        Assert.False(one.Goals[^1].Held);
        Assert.Equal(0.95, one.Goals[^1].Share, 1e-9);
    }

    [Fact]
    public void Its_record_is_the_same_however_many_trials_run_at_the_same_time()
    {
        var options = _singly with { Pairs = 5 };
        // A board anew each time: what was found out of the other is not known of it.
        string Record(int threads) => CampaignJson.Write(new Campaign(LampBoards.One with { }, options, new Progress<CampaignStep>(), sweep: null, threads).Run(CancellationToken.None), "one.yaml");
        Assert.Equal(Record(1), Record(4));
    }

    [Fact]
    public void It_ends_when_it_is_told_to() =>
        Assert.ThrowsAny<OperationCanceledException>(() => new Campaign(LampBoards.One, _singly, new Progress<CampaignStep>()).Run(new(canceled: true)));

    private static CampaignResult Run(Board board, CampaignOptions options, Func<TrialBench, int, BoardFault[], SweepResult> sweep) =>
        new Campaign(board, options, new Progress<CampaignStep>(), sweep).Run(CancellationToken.None);

    private static BoardFault Fault(Board board, string name) => BoardFaults.Of(board).First(fault => fault.Name == name);

    private static SweepResult Blind(SweepResult result) => result with
    {
        Channels = [.. result.Channels.Select(channel => channel with { Condition = Condition.Working })],
        Checks = [.. result.Checks.Select(check => check with { Good = true })],
        Ending = SweepEnding.Complete,
    };

    private static SweepResult Named(SweepResult result, params ImmutableArray<BoardFault> faults) =>
        result with { Diagnosis = new([new([], [new([faults[0].Item], faults[0].Mode, "", 1, []) { Faults = faults }], "")], null, []) };
}
