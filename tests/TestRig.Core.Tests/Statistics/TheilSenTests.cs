using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class TheilSenTests
{
    // USEPA 2009 Unified Guidance Example 17-6; R package EnvStats, kendallTrendTest: slope 26.6666667, 95 % 20.00000..35.71182, intercept −1909.3333.
    [Fact]
    public void The_sulfate_line_is_the_published_one()
    {
        var line = TheilSen.Of(Published.Sulfate);
        Assert.Equal(26.6666667, line.Slope, 7);
        Assert.Equal(-1909.3333, line.Intercept, 4);
        var (lower, upper) = line.Interval(0.95, MannKendall.Of([.. Published.Sulfate.Values()]).Variance);
        Assert.Equal(20.00000, lower, 5);
        Assert.Equal(35.71182, upper, 5);
    }

    // pyMannKendall's example: slope 11.509375, intercept 78.7359375.
    [Fact]
    public void The_shampoo_line_is_the_published_one()
    {
        var line = TheilSen.Of(Published.Shampoo);
        Assert.Equal(11.509375, line.Slope, 9);
        Assert.Equal(78.7359375, line.Intercept, 7);
    }

    [Property(MaxTest = 200)]
    public bool Points_of_a_line_unevenly_spaced_give_the_line(PositiveInt[] gaps, short slope, short start)
    {
        int[] steps = [0, 1, 3, .. gaps.Select(gap => gap.Get)];
        var times = steps.Select((_, index) => steps[..(index + 1)].Sum());
        var line = TheilSen.Of([.. times.Select(time => new TimedValue(time, start + ((double)slope * time)))]);
        return line.Slope == slope && Math.Abs(line.Intercept - start) < 1e-6 && line.Interval(0.95, 0) == (slope, slope);
    }

    [Fact]
    public void A_few_wild_points_leave_the_line_where_it_is()
    {
        var points = Enumerable.Range(0, 30).Select(time => new TimedValue(time, time % 4 == 1 ? 1e6 : 2 * time)).ToArray();
        Assert.InRange(TheilSen.Of(points).Slope, 2, 2.5);
    }

    [Fact]
    public void A_larger_variance_widens_the_interval_until_it_has_no_end()
    {
        var line = TheilSen.Of(Published.Sulfate);
        var (plain, more) = (line.Interval(0.95, 1428), line.Interval(0.95, 2 * 1428));
        Assert.True(more.Lower < plain.Lower && plain.Upper < more.Upper);
        Assert.Equal((double.NegativeInfinity, double.PositiveInfinity), line.Interval(0.95, 100 * 1428));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(TheilSen.MostPoints + 1)]
    public void Too_few_and_too_many_are_refused(int number) =>
        Assert.Throws<ArgumentException>(() => TheilSen.Of([.. Enumerable.Range(0, number).Select(time => new TimedValue(time, 0))]));

    [Fact]
    public void As_many_as_it_takes_are_taken() =>
        Assert.Equal(3, TheilSen.Of([.. Enumerable.Range(0, TheilSen.MostPoints).Select(time => new TimedValue(time, 3 * time))]).Slope);

    [Fact]
    public void What_makes_no_sense_is_refused()
    {
        Assert.Throws<ArgumentException>(() => TheilSen.Of([new(1, 5), new(1, 6)]));
        Assert.Throws<ArgumentException>(() => new TimedValue(1, double.NaN));
        Assert.Throws<ArgumentException>(() => new TimedValue(double.PositiveInfinity, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => TheilSen.Of([new(1, 5), new(2, 6)]).Interval(0.95, -1));
        Assert.Throws<ArgumentOutOfRangeException>(() => TheilSen.Of([new(1, 5), new(2, 6)]).Interval(1, 1));
    }
}
