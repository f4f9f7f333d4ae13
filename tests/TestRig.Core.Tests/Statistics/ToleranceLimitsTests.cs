using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class ToleranceLimitsTests
{
    private static readonly ToleranceAim _aim = new(0.95, 0.95);

    /// <summary>By hand: 1 to 10 have mean 5.5 and s = √(82.5 / 9) = 3.02765; ISO 16269-6:2014 Annex F gives k = 3.3935 for 95/95 and n = 10, rounded up.</summary>
    [Fact]
    public void Values_that_may_be_normal_get_the_factor_of_the_standard()
    {
        var limits = ToleranceLimits.TwoSided([10, 1, 2, 9, 3, 4, 8, 5, 7, 6], 0, _aim);
        Assert.Equal((ToleranceMethod.Normal, 10), (limits.Method, limits.Number));
        Assert.Equal(3.3935, limits.Factor!.Value, 0.0001);
        Assert.Equal(5.5 - (3.3935 * 3.02765), limits.Lower!.Value, 0.001);
        Assert.Equal(5.5 + (3.3935 * 3.02765), limits.Upper!.Value, 0.001);
    }

    /// <summary>Montgomery and Runger, 7th ed., Table XII: one-sided k = 2.911 for 95/95 and n = 10.</summary>
    [Fact]
    public void An_upper_limit_alone_gets_the_one_sided_factor() =>
        Assert.Equal(5.5 + (2.911 * 3.02765), ToleranceLimits.Above([10, 1, 2, 9, 3, 4, 8, 5, 7, 6], 0, _aim).Upper!.Value, 0.004);

    // Two-sided, whatever the distribution, 95/95: 93 values, and 124 for the second from both ends together with the extremes left out one by one (EnvStats tolIntNparN.Rd).
    [Theory]
    [InlineData(92, null, null)]
    [InlineData(93, -500.0, 900.0)]
    public void Values_that_are_not_normal_get_their_extremes_once_they_are_enough(int number, double? lower, double? upper)
    {
        // Two crowds far apart, and one value beyond each.
        double[] values = [-500, 900, .. Enumerable.Range(0, number - 2).Select(i => i % 2 == 0 ? 0.0 : 400.0)];
        var limits = ToleranceLimits.TwoSided(values, 0, _aim);
        Assert.Equal((lower, upper), (limits.Lower, limits.Upper));
        Assert.Equal(lower is null ? ToleranceMethod.TooFew : ToleranceMethod.OrderStatistic, limits.Method);
        Assert.Equal(93, limits.NumberNeeded);
    }

    [Fact]
    public void Equal_values_are_their_own_limits_and_say_that_they_are_equal() =>
        Assert.Equal((ToleranceMethod.Exact, 7.0, 7.0), ToleranceLimits.TwoSided([7, 7, 7, 7, 7], 0, _aim) is var limits ? (limits.Method, limits.Lower!.Value, limits.Upper!.Value) : default);

    [Fact]
    public void Three_values_tell_nothing_not_even_equal_ones()
    {
        Assert.Equal(ToleranceMethod.TooFew, ToleranceLimits.TwoSided([7, 7, 7], 0, _aim).Method);
        Assert.Null(ToleranceLimits.TwoSided([1, 2, 3], 0, _aim).Upper);
    }

    // One-sided, whatever the distribution, 95/95: 59 values (EnvStats tolIntNparN.Rd).
    [Theory]
    [InlineData(58, null)]
    [InlineData(59, 6.0)]
    public void Counts_are_never_taken_for_normal(int number, double? upper)
    {
        var limits = ToleranceLimits.AboveCounts([6, .. Enumerable.Repeat(3, number - 1)], _aim);
        Assert.Equal((upper, 59), (limits.Upper, limits.NumberNeeded));
    }
}
