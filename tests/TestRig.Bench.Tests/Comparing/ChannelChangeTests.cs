using TestRig.Bench.Comparing;
using TestRig.Bench.Soaking;
using TestRig.Bench.Tests.Soaking;
using TestRig.Core.Judging;

namespace TestRig.Bench.Tests.Comparing;

/// <summary>When a channel's condition is called better or worse.</summary>
public class ChannelChangeTests
{
    private const double Risk = 0.05;

    /// <param name="failing">Its first cycles.</param>
    private static ChannelTally Channel(int cycles, int failing, Condition failure = Condition.Dead)
    {
        var tally = new SoakTally(Cycles.Started);
        foreach (var cycle in Cycles.Many(cycles, number => number <= failing ? failure : Condition.Working))
            tally.Add(cycle);
        return tally.Channels[0];
    }

    [Theory]
    [InlineData(1, 0, 1, 0, Standing.Same)]
    [InlineData(1, 1, 1, 0, Standing.Better)]
    [InlineData(1, 0, 1, 1, Standing.Worse)]
    [InlineData(9, 9, 400, 0, Standing.Better)]
    [InlineData(400, 0, 9, 9, Standing.Worse)]
    [InlineData(9, 9, 9, 9, Standing.Same)]
    public void What_always_failed_or_never_needs_no_statistics(int before, int failedBefore, int after, int failedAfter, Standing standing)
    {
        Assert.Equal((standing, (double?)null), ChannelChange.ConditionOf(Channel(before, failedBefore), Channel(after, failedAfter), Risk));
    }

    /// <summary>
    /// 4 of 60 and then none of 20: 60·59·58·57/(80·79·78·77) = 0.308, by counting. None of 66 is the first with less than 0.05: C(60,4)/C(126,4) = 0.0487.
    /// </summary>
    [Theory]
    [InlineData(20, Standing.Undecided, 60.0 * 59 * 58 * 57 / (80.0 * 79 * 78 * 77))]
    [InlineData(66, Standing.Better, 60.0 * 59 * 58 * 57 / (126.0 * 125 * 124 * 123))]
    public void Of_what_comes_and_goes_a_difference_counts_when_chance_would_not_make_it(int after, Standing standing, double probability)
    {
        var found = ChannelChange.ConditionOf(Channel(60, 4), Channel(after, 0), Risk);
        Assert.Equal(standing, found.Standing);
        Assert.Equal(probability, found.Probability!.Value, 9);
        Assert.Equal(standing == Standing.Better ? Standing.Worse : Standing.Undecided, ChannelChange.ConditionOf(Channel(after, 0), Channel(60, 4), Risk).Standing);
    }

    /// <summary>One of 8000 is no worse than none of 10: nothing is known of the ten.</summary>
    [Fact]
    public void A_short_run_without_a_failure_is_no_proof_that_there_was_none()
    {
        var (standing, probability) = ChannelChange.ConditionOf(Channel(10, 0), Channel(8000, 1), Risk);
        Assert.Equal(Standing.Undecided, standing);
        Assert.True(probability > 0.05);
    }

    [Fact]
    public void Another_fault_than_before_is_neither_better_nor_worse() =>
        Assert.Equal(Standing.Changed, ChannelChange.ConditionOf(Channel(3, 3), Channel(3, 3, Condition.Slow), Risk).Standing);

    [Fact]
    public void What_was_not_tested_is_not_compared()
    {
        Assert.Equal(Standing.Undecided, ChannelChange.ConditionOf(Channel(3, 3, Condition.NotTested), Channel(3, 0), Risk).Standing);
        Assert.Equal(Standing.Undecided, ChannelChange.ConditionOf(Channel(3, 0), Channel(3, 3, Condition.NotTested), Risk).Standing);
    }
}
