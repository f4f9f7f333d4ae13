using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class TrendTests
{
    [Fact]
    public void A_line_crosses_where_it_crosses()
    {
        // 2 + 3t is over 101 at t = 33; turned over, −2 − 3t is under −101.
        var rising = Of(20, time => 2 + (3 * time));
        var falling = Of(20, time => -2 - (3 * time));
        Assert.Equal(new LimitCrossing(33, 33), rising.OverUpper(101));
        Assert.Equal(new LimitCrossing(33, 33), falling.UnderLower(-101));
        Assert.Null(rising.UnderLower(-101));
        Assert.Null(falling.OverUpper(101));
    }

    // The published line of the sulfate series, 26.6666667 and at most 35.71182 a year (R package EnvStats), about the medians 92.6 and 560: 1000 is 440 away.
    [Fact]
    public void The_sulfate_series_crosses_where_its_published_lines_do()
    {
        var crossing = Trend.Of(Published.Sulfate)!.OverUpper(1000)!;
        Assert.Equal(92.6 + (440 / 26.6666667), crossing.At, 5);
        Assert.Equal(92.6 + (440 / 35.71182), crossing.Earliest, 5);
    }

    [Fact]
    public void A_limit_crossed_before_the_middle_is_crossed_no_later_by_the_steepest_slope()
    {
        var crossing = Trend.Of(Published.Sulfate)!.OverUpper(500)!;
        Assert.True(crossing.At < 92.6);
        Assert.Equal(crossing.At, crossing.Earliest);
    }

    // pyMannKendall's example with Hamed and Rao's variance: Z 5.1304.
    [Fact]
    public void The_shampoo_series_is_judged_with_its_autocorrelation()
    {
        var trend = Trend.Of(Published.Shampoo)!;
        Assert.Equal(5.1304, trend.Test.Deviate, 4);
        var plain = trend.Line.Interval(0.95, 5390);
        Assert.True(trend.SlopeAtLeast < plain.Lower && plain.Upper < trend.SlopeAtMost);
    }

    [Fact]
    public void What_does_not_move_crosses_nothing()
    {
        var trend = Of(20, _ => 5);
        Assert.False(trend.IsSignificant);
        Assert.Null(trend.OverUpper(6));
        Assert.Null(trend.UnderLower(4));
    }

    [Fact]
    public void A_slope_that_may_be_chance_crosses_nothing()
    {
        int[] digits = [3, 1, 4, 1, 5, 9, 2, 6, 5, 3];
        var trend = Of(10, time => digits[time]);
        Assert.True(trend.Line.Slope > 0);
        Assert.False(trend.IsSignificant);
        Assert.Null(trend.OverUpper(9));
    }

    // Most values are the same, so the median slope is 0; the others come ever closer together: S 146 in √3498.7.
    [Fact]
    public void A_significant_trend_without_a_slope_crosses_nothing()
    {
        int[] late = [16, 20, 24, 28, 31, 34, 37, 39];
        var trend = Of(40, time => late.Contains(time) ? 1 : 0);
        Assert.True(trend.IsSignificant);
        Assert.Null(trend.OverUpper(2));
        Assert.Null(trend.UnderLower(-2));
    }

    [Fact]
    public void Nine_points_tell_nothing_and_ten_do()
    {
        Assert.Null(Trend.Of([.. Enumerable.Range(0, 9).Select(time => new TimedValue(time, time))]));
        Assert.True(Of(10, time => time).IsSignificant);
    }

    /// <summary>Whoever draws the values himself: without a trend, one series of 20 has one by chance at the 5 % level, and none more with the correction.</summary>
    [Fact]
    public void Independent_values_have_a_trend_by_chance_as_often_as_stated()
    {
        var (plain, corrected, covered) = Shares(0, 2000, 60);
        // Binomial: 0.05 ± 4 standard deviations of √(0.05·0.95/2000).
        Assert.InRange(plain, 0.030, 0.070);
        Assert.InRange(corrected, 0.010, plain);
        // As much is outside as is significant, nearly: the score's steps and the continuity correction lie between.
        Assert.InRange(covered, 1 - plain - 0.01, 1);
    }

    /// <summary>A first-order autoregressive series whose neighbours have a correlation of 0.6, without a trend.</summary>
    [Fact]
    public void Alike_neighbours_are_taken_for_a_trend_far_less_often_with_the_correction()
    {
        var (plain, corrected, covered) = Shares(0.6, 500, 256);
        Assert.InRange(plain, 0.25, 0.50);
        Assert.InRange(corrected, 0, plain * 0.6);
        Assert.InRange(covered, 1 - (plain * 0.6), 1);
    }

    /// <summary>Of series of this many points without a trend: how many are significant plainly, and by <see cref="Trend"/>; and how many of its intervals contain the slope of 0.</summary>
    private static (double Plain, double Corrected, double Covered) Shares(double likeness, int series, int length)
    {
        var random = new Random(20261203);
        var (plain, corrected, covered) = (0, 0, 0);
        for (var one = 0; one < series; one++)
        {
            var value = Normal(random) / Math.Sqrt(1 - (likeness * likeness));
            var points = new TimedValue[length];
            for (var i = 0; i < points.Length; i++)
            {
                points[i] = new(i, value);
                value = (likeness * value) + Normal(random);
            }
            plain += MannKendall.Of([.. points.Values()]).Probability < 0.05 ? 1 : 0;
            var trend = Trend.Of(points)!;
            corrected += trend.IsSignificant ? 1 : 0;
            covered += trend.SlopeAtLeast <= 0 && trend.SlopeAtMost >= 0 ? 1 : 0;
        }
        return ((double)plain / series, (double)corrected / series, (double)covered / series);
    }

    private static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    private static Trend Of(int number, Func<int, double> value) => Trend.Of([.. Enumerable.Range(0, number).Select(time => new TimedValue(time, value(time)))])!;
}
