using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class LaplaceTrendTests
{
    /// <summary>Modarres, Kaminskiy and Krivtsov, Reliability Engineering and Risk Analysis, Example 5.11, as "reliability" for Python has it: U = 2.409, worsening; the last failure ended it.</summary>
    [Fact]
    public void The_published_example_worsens()
    {
        double[] between = [104, 131, 1597, 59, 4, 503, 157, 6, 118, 173, 114, 62, 101, 216, 106, 140, 1, 102, 3, 393, 96, 232, 89, 61, 37, 293, 7, 165, 87, 99];
        var instants = between.Select((_, index) => between[..(index + 1)].Sum()).ToArray();
        Assert.Equal(2.409, LaplaceTrend.Of(instants, instants[^1])!.Deviate, 3);
    }

    /// <summary>Means of 7.5 and 2.5 in a time of 10, whose standard deviation is 10/√(12·4): ±√3.</summary>
    [Theory]
    [InlineData(new double[] { 9, 7, 8, 6 }, 1)]
    [InlineData(new double[] { 1, 2, 3, 4 }, -1)]
    [InlineData(new double[] { 10, 9, 7, 8, 6 }, 1)]
    public void Failures_late_in_a_chosen_time_are_positive_and_early_ones_negative(double[] instants, int sign) =>
        Assert.Equal(sign * Math.Sqrt(3), LaplaceTrend.Of(instants, 10)!.Deviate, 12);

    /// <summary>The sum s of four uniform instants exceeds s ≥ 3 with a probability of (4 − s)⁴/24, exactly.</summary>
    [Theory]
    [InlineData(3.0)]
    [InlineData(3.1316)]
    [InlineData(3.3)]
    public void Of_the_least_number_the_probability_is_already_nearly_right(double sum) =>
        Assert.Equal(2 * Math.Pow(4 - sum, 4) / 24, LaplaceTrend.Of([sum / 4, sum / 4, sum / 4, sum / 4], 1)!.Probability, 0.005);

    [Fact]
    public void Too_few_tell_nothing()
    {
        Assert.Null(LaplaceTrend.Of([], 10));
        Assert.Null(LaplaceTrend.Of([1, 2, 3], 10));
        Assert.Null(LaplaceTrend.Of([1, 2, 3, 10], 10));
    }

    [Theory]
    [InlineData(11, 10)]
    [InlineData(0, 10)]
    [InlineData(double.NaN, 10)]
    [InlineData(1, double.PositiveInfinity)]
    public void What_lies_outside_the_time_observed_is_refused(double instant, double span) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => LaplaceTrend.Of([instant], span));
}
