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
        var result = Run(LampBoards.One, _singly, (bench, seed, faults) => Named(bench.Measure(new(seed), faults), [dead]));
        Assert.Equal(1, result.Isolated(1));
        Assert.Equal(1, result.AsBound);
        Assert.DoesNotContain(result.FellShort, trial => trial.Fault == dead);
    }

    /// <summary>The trial's own class is known here, as no diagnoser knows it: so it can be seen that a diagnoser without a flaw passes.</summary>
    [Fact]
    public void A_diagnoser_who_names_just_what_no_sweep_tells_apart_passes()
    {
        var result = RunNaming((_, bound) => [bound]);
        Assert.All(result.Goals, goal => Assert.True(goal.Held, goal.Words));
        Assert.Empty(result.FellShort);
        Assert.Equal(result.BoundIsolated(3), result.Isolated(3));
    }

    /// <summary>
    /// By pencil: U1 does the same whether its own supply pin or the whole logic supply is off, on every bench. Who never names the supply names nothing wrong, and yet names too little of each of the other faults that leave the
    /// lamp dark.
    /// </summary>
    [Fact]
    public void A_diagnoser_who_leaves_out_what_no_bench_tells_apart_fails_the_second_goal()
    {
        var supply = Fault(LampBoards.One, "supply:logic=off");
        var result = RunNaming((_, bound) => [bound.Remove(supply)]);
        Assert.False(result.Goals[1].Held);
        var dark = result.Trials.Where(trial => trial.Bound.Faults.Contains(supply) && trial.Fault != supply).ToList();
        Assert.Contains(dark, trial => trial.Fault.Name == "U1=no-supply");
        Assert.All(dark, trial =>
        {
            Assert.True(trial.IsWithinBound);
            Assert.Equal([supply.Name], trial.LeftOut.Select(fault => fault.Name));
            Assert.False(trial.IsAsShown);
            Assert.Contains(trial, result.FellShort);
        });
        Assert.Equal(result.Detectable.Length - dark.Count - 1, result.AsShown);
    }

    /// <summary>
    /// By pencil: where the line is joined with the lamp, it starts high on some benches, and the sweep ends there, as with an input that holds the line high; on others it does not, and the lamp lights when it should not, as behind an
    /// inverted output. So all three are one class, and of a bench whose sweep ended at once nobody need name the inverted output: that lets a sweep go on to its end.
    /// </summary>
    [Theory]
    [InlineData("U1:18=inverted", true)]
    [InlineData("U1:2=holds-high", false)]
    public void A_group_may_lack_what_could_not_have_shown_what_this_sweep_saw(string lacks, bool honest)
    {
        var (bridge, lacking) = (Fault(LampBoards.One, "net:P1.1+Q1.C=bridged"), Fault(LampBoards.One, lacks));
        var result = RunNaming((swept, bound) => [swept.Ending.Outcome == SweepOutcome.StoppedForSafety && bound.Length > 2 ? bound.Remove(lacking) : bound]);
        var trial = result.Trials.Single(each => each.Fault == bridge);
        Assert.Equal(["U1:18=inverted", "U1:2=holds-high", bridge.Name], trial.Bound.Faults.Select(fault => fault.Name));
        Assert.Equal((true, false), (trial.IsWithinBound, trial.IsAsBound));
        Assert.Equal(honest ? [] : [lacks], trial.LeftOut.Select(fault => fault.Name));
        Assert.Equal(honest, result.Goals[1].Held);
        Assert.Equal(honest ? [] : [bridge.Name], result.FellShort.Select(each => each.Fault.Name));
    }

    /// <summary>Of its first group: a technician may stop there.</summary>
    [Fact]
    public void What_is_in_the_second_group_only_was_left_out()
    {
        var supply = Fault(LampBoards.One, "supply:logic=off");
        var result = RunNaming((_, bound) => bound.Contains(supply) ? [bound.Remove(supply), [supply]] : [bound]);
        Assert.Equal([supply.Name], result.Trials.Single(trial => trial.Fault.Name == "U1=no-supply").LeftOut.Select(fault => fault.Name));
        Assert.False(result.Goals[1].Held);
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

    /// <param name="naming">The groups to report, from what was swept and the class of what was put in.</param>
    private static CampaignResult RunNaming(Func<SweepResult, ImmutableArray<BoardFault>, ImmutableArray<ImmutableArray<BoardFault>>> naming)
    {
        var bounds = Unnamed().Trials.ToDictionary(trial => trial.Fault, trial => trial.Bound.Faults);
        return Run(LampBoards.One, _singly, (bench, seed, faults) =>
        {
            var swept = bench.Measure(new(seed), faults);
            return Named(swept, naming(swept, bounds[faults[0]]));
        });
    }

    private static CampaignResult Unnamed() => Run(LampBoards.One, _singly with { Healthy = 0 }, (bench, seed, faults) => bench.Measure(new(seed), faults));

    private static BoardFault Fault(Board board, string name) => BoardFaults.Of(board).First(fault => fault.Name == name);

    private static SweepResult Blind(SweepResult result) => result with
    {
        Channels = [.. result.Channels.Select(channel => channel with { Condition = Condition.Working })],
        Checks = [.. result.Checks.Select(check => check with { Good = true })],
        Ending = SweepEnding.Complete,
    };

    private static SweepResult Named(SweepResult result, params ImmutableArray<ImmutableArray<BoardFault>> groups) =>
        result with { Diagnosis = new([new([], [.. groups.Select(group => new Suspect([group[0].Item], group[0].Mode, "", 1, []) { Faults = group })], "")], null, []) };
}
