using MathNet.Numerics.Distributions;
using TestRig.Bench.Comparing;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Tests.Comparing;

/// <summary>When a figure is called different, by figures made up here.</summary>
public class FigureChangeTests
{
    private const double Risk = 0.05;

    private static FigureEstimate Figure(
        double mean, double? guard = 0, BatchMean? scatter = null, double? spread = null, long cycles = 1, long? lowest = null, long? highest = null, bool varies = false) =>
        new(new("one", "OK1.5", Expectation.Falls, FigureKind.Delay), cycles, mean, guard, scatter, spread, lowest, highest, varies);

    /// <summary>Each may be off by 3: only a difference of more than 6 cannot be nothing (JCGM 106:2012, guard bands).</summary>
    [Theory]
    [InlineData(100, 106, Standing.Same)]
    [InlineData(100, 94, Standing.Same)]
    [InlineData(100, 106.1, Standing.Changed)]
    [InlineData(100, 93.9, Standing.Changed)]
    public void A_difference_counts_beyond_both_guard_bands_together(double before, double after, Standing standing)
    {
        var change = FigureChange.Of(Figure(before, 3), Figure(after, 3), Risk);
        Assert.Equal(standing, change.Standing);
        Assert.Equal(6, change.HalfWidth!.Value, 12);
    }

    [Theory]
    [InlineData(60, 79, Standing.Changed, true)]
    [InlineData(60, 81, Standing.Worse, true)]
    [InlineData(60, 120, Standing.Worse, true)]
    [InlineData(81, 60, Standing.Better, false)]
    [InlineData(120, 60, Standing.Better, false)]
    [InlineData(79, 60, Standing.Changed, false)]
    [InlineData(120, 130, Standing.Worse, true)]
    [InlineData(130, 120, Standing.Better, false)]
    public void Worse_is_more_than_half_of_the_room_to_the_limit_gone(double before, double after, Standing standing, bool nearer)
    {
        var change = FigureChange.Of(Figure(before), Figure(after, highest: 100), Risk);
        Assert.Equal((standing, nearer), (change.Standing, change.Nearer));
    }

    [Theory]
    [InlineData(50, 96, Standing.Worse)]
    [InlineData(50, 14, Standing.Worse)]
    [InlineData(14, 50, Standing.Better)]
    [InlineData(50, 60, Standing.Changed)]
    public void Between_two_limits_the_nearer_one_counts(double before, double after, Standing standing) =>
        Assert.Equal(standing, FigureChange.Of(Figure(before), Figure(after, lowest: 10, highest: 100), Risk).Standing);

    [Theory]
    [InlineData(3, 2.4, Standing.Worse)]
    [InlineData(2.4, 3, Standing.Better)]
    public void A_level_that_has_to_be_high_is_worse_when_it_falls(double before, double after, Standing standing) =>
        Assert.Equal(standing, FigureChange.Of(Figure(before), Figure(after, lowest: 2), Risk).Standing);

    [Fact]
    public void Without_a_limit_nothing_is_better_or_worse()
    {
        var change = FigureChange.Of(Figure(1), Figure(1000), Risk);
        Assert.Equal((Standing.Changed, (bool?)null), (change.Standing, change.Nearer));
    }

    [Fact]
    public void Where_nothing_kept_tells_how_sure_a_figure_is_it_is_not_compared() =>
        Assert.Equal(Standing.Undecided, FigureChange.Of(Figure(1, guard: null), Figure(1000), Risk).Standing);

    [Fact]
    public void What_is_another_each_time_is_not_compared_by_one_cycle_each() =>
        Assert.Equal(Standing.Undecided, FigureChange.Of(Figure(1, varies: true), Figure(1000, varies: true), Risk).Standing);

    /// <summary>
    /// One value against the mean of 25 with a spread of 10: t(24; 97.5 %) = 2.064 (Student's table; value from memory) times 10·√(1 + 1/25) is 21.05.
    /// </summary>
    [Fact]
    public void One_cycle_is_taken_to_scatter_as_the_other_runs_do()
    {
        var many = Figure(100, scatter: new(100, 10 / Math.Sqrt(25), 24), spread: 10, cycles: 25, varies: true);
        // Both errors have 24 degrees; by Welch and Satterthwaite they have 1.04²/(1 + 1/625) of them together: 25.9.
        var half = 10 * Math.Sqrt(1.04) * 2.0556;
        Assert.Equal(half, FigureChange.Of(many, Figure(0, varies: true), Risk).HalfWidth!.Value, 0.05);
        Assert.Equal(half, FigureChange.Of(Figure(0, varies: true), many, Risk).HalfWidth!.Value, 0.05);
    }

    /// <summary>Of 2000 pairs of equal runs, made of normal noise, chance may call 5 % different; 150 of them are four standard deviations more.</summary>
    [Theory]
    [InlineData(2)]
    [InlineData(8)]
    [InlineData(300)]
    public void Equal_runs_are_called_different_as_seldom_as_is_said(int cycles)
    {
        var random = new Random(11);
        double[] Noise(int number) => [.. Enumerable.Range(0, number).Select(_ => Normal.Sample(random, 50, 7))];
        var different = 0;
        for (var pair = 0; pair < 2000; pair++)
        {
            var (before, after) = (BatchMean.Of(Noise(cycles))!, BatchMean.Of(Noise(12))!);
            if (FigureChange.Of(Figure(before.Mean, scatter: before, cycles: cycles), Figure(after.Mean, scatter: after, cycles: 12), Risk).Standing != Standing.Same)
                different++;
        }
        // Of two cycles it is seldomer than said.
        Assert.InRange(different, cycles < 5 ? 0 : 50, 150);
    }
}
