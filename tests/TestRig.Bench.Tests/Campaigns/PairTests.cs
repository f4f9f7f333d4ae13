using System.Collections.Immutable;
using TestRig.Bench.Campaigns;
using TestRig.Bench.Simulation;
using TestRig.Core.Diagnosing;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Campaigns;

/// <summary>Two faults at once, on the two lamps that share nothing but their supplies.</summary>
public class PairTests
{
    private static readonly ImmutableArray<BoardFault> _faults = [.. BoardFaults.Of(LampBoards.Two)];

    private static readonly TrialBench _bench = new(LampBoards.Two, ExerciseMode.LogicOnly, AdapterFigures.Reference);

    private static readonly Lazy<StructuralClasses> _classes = new(() => new(_bench.Observe(), _faults.Distinct().Where(fault => _bench.CanHave(fault)).Select(fault => (fault, _bench.Observe(fault)))));

    private static readonly Lazy<CampaignResult> _result = new(() => new Campaign(
        LampBoards.Two, new(ExerciseMode.LogicOnly, Seed: 3, Healthy: 0, Pairs: 60, Suggest: false), new Progress<CampaignStep>(), (bench, seed, faults) => bench.Measure(new(seed), faults)).Run(CancellationToken.None));

    /// <summary>
    /// By pencil. In one path: what stands in front of a dead transistor does nothing more (masked). In two paths: each shows by itself, unless both together are what one supply does. A slow buffer shows nowhere, so that
    /// with another fault it is hidden, and with a second slow buffer nothing shows.
    /// </summary>
    [Theory]
    [InlineData("Q1=dead", "U1:18=dead", PairLook.Masked)]
    [InlineData("Q1=dead", "U1:18=stuck-high", PairLook.Masked)]
    [InlineData("Q1=dead", "U2:18=slow", PairLook.Masked)]
    [InlineData("Q1=dead", "Q2=stuck-low", PairLook.Distinct)]
    [InlineData("line:left=dead", "lead:Q2.C=open", PairLook.Distinct)]
    [InlineData("U1=no-supply", "U2=no-supply", PairLook.LikeAnother)] // supply:logic=off
    [InlineData("Q1=stuck-low", "Q2=stuck-low", PairLook.LikeAnother)] // supply:lamps=off
    [InlineData("U1:18=slow", "U2:18=slow", PairLook.Healthy)]
    public void What_two_faults_look_like_is_that_of_the_pencil(string first, string second, PairLook expected)
    {
        Assert.Equal(expected, PairTrial.LookOf(_bench.Observe(Fault(first), Fault(second)), _classes.Value, Fault(first), Fault(second)));
    }

    [Fact]
    public void Each_pair_is_of_two_items_and_comes_once()
    {
        Assert.Equal(60, _result.Value.Pairs.Length);
        Assert.All(_result.Value.Pairs, pair => Assert.NotEqual(pair.First.Item, pair.Second.Item));
        Assert.Equal(60, _result.Value.Pairs.Select(pair => string.Join(' ', new[] { pair.First.Name, pair.Second.Name }.Order())).Distinct().Count());
    }

    [Fact]
    public void No_more_pairs_are_drawn_than_there_are()
    {
        // Of two faults of Q1 and one of Q2, two pairs are of different items.
        var drawn = PairDraw.From([Fault("Q1=dead"), Fault("Q1=stuck-low"), Fault("Q2=dead")], 10, _bench, new Random(1));
        Assert.Equal(["Q1=dead Q2=dead", "Q1=stuck-low Q2=dead"], drawn.Select(pair => $"{pair.First} {pair.Second}").Order());
    }

    /// <summary>The diagnoser of this campaign names nothing.</summary>
    [Fact]
    public void Pairs_that_are_not_named_fail_their_goal()
    {
        var goals = _result.Value.Goals;
        Assert.True(goals[2].Held, goals[2].Words);
        Assert.False(goals[3].Held);
        Assert.Equal(_result.Value.PairsOf(PairLook.Distinct).Length, _result.Value.PairsFellShort.Length);
    }

    [Fact]
    public void Both_are_found_when_each_is_in_a_reported_fault_of_its_own_within_its_first_two_groups()
    {
        var (one, other, third) = (ClassOf("Q1=dead", "U1:18=dead"), ClassOf("Q2=dead"), ClassOf("U2:18=inverted"));
        Assert.True(PairTrial.BothFound(one, other, [[[Fault("U1:18=dead")]], [third.Faults, [Fault("Q2=dead")]]]));
        Assert.True(PairTrial.BothFound(one, other, [[other.Faults], [one.Faults]]));
        // Both in one reported fault, or only one of them, or a third fault beside them.
        Assert.False(PairTrial.BothFound(one, other, [[one.Faults, other.Faults]]));
        Assert.False(PairTrial.BothFound(one, other, [[one.Faults], [third.Faults]]));
        Assert.False(PairTrial.BothFound(one, other, [[one.Faults], [one.Faults]]));
        Assert.False(PairTrial.BothFound(one, other, [[one.Faults], [other.Faults], [third.Faults]]));
    }

    private static BoardFault Fault(string name) => _faults.First(fault => fault.Name == name);

    private static FaultClass ClassOf(params string[] names) => new([.. names.Select(Fault)], Detectable: true);
}
