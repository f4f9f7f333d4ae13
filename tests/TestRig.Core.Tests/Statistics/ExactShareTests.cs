using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class ExactShareTests
{
    /// <summary>A two-sided interval's upper end is a one-sided limit of half the risk.</summary>
    [Theory]
    [InlineData(5, 100_000, 0.95, 0.0001051275, 1e-10)] // R package GenBinomApps, clopper.pearson.ci, upper
    [InlineData(0, 29, 0.95, 0.09814, 1e-5)] // 1 - 0.05^(1/29)
    [InlineData(2, 20, 0.975, 0.31698, 1e-5)] // standard table of 95 % two-sided limits
    [InlineData(7, 20, 0.975, 0.5921885, 1e-7)] // R package EnvStats, ebinom, exact
    [InlineData(1, 30, 0.975, 1 - 0.8278305443665873, 1e-10)] // "reliability" for Python, one-sample proportion: 29 of 30 good
    [InlineData(4, 20, 0.95, 0.401028, 1e-6)] // NIST/SEMATECH e-Handbook 7.2.4.1 (value from memory)
    public void The_upper_limit_is_the_published_one(int have, int number, double confidence, double expected, double within) =>
        Assert.Equal(expected, ExactShare.AtMost(have, number, confidence), within);

    /// <summary>-ln 0.05 = 2.9957: Hanley and Lippman-Hand, JAMA 249 (1983) 1743-1745 (value from memory).</summary>
    [Fact]
    public void Of_none_the_limit_comes_to_three_by_the_number() => Assert.Equal(2.9957 / 100_000, ExactShare.AtMost(0, 100_000, 0.95), 1e-9);

    [Fact]
    public void Of_all_nothing_limits_the_share() => Assert.Equal(1, ExactShare.AtMost(7, 7, 0.95));

    [Fact]
    public void Of_billions_the_limit_is_still_three_by_the_number() => Assert.Equal(2.9957 / 3_000_000_000, ExactShare.AtMost(0, 3_000_000_000, 0.95), 1e-13);

    /// <summary>Of very many the limits are those of a Poisson count: 10.5130 for 5 and 3.8897 for 1 (MIL-HDBK-338B: values from memory).</summary>
    [Theory]
    [InlineData(5, 0.95, 10.5130)]
    [InlineData(1, 0.90, 3.8897)]
    public void Of_a_hundred_million_the_limit_is_that_of_a_count(long have, double confidence, double expected) =>
        Assert.Equal(expected * 1e-8, ExactShare.AtMost(have, 100_000_000, confidence), 1e-11);

    [Theory]
    [InlineData(2, 20, 0.95, 0.01235, 0.31698, 1e-5)] // standard table of 95 % two-sided limits
    [InlineData(7, 20, 0.95, 0.1539092, 0.5921885, 1e-7)] // R package EnvStats, ebinom, exact
    [InlineData(29, 30, 0.95, 0.8278305443665873, 0.9991564290733695, 1e-10)] // "reliability" for Python, one-sample proportion
    [InlineData(4, 20, 0.90, 0.071354, 0.401028, 1e-6)] // NIST/SEMATECH e-Handbook 7.2.4.1 (value from memory)
    [InlineData(0, 29, 0.95, 0, 0.11944, 1e-5)] // 1 - 0.025^(1/29)
    [InlineData(29, 29, 0.95, 1 - 0.11944, 1, 1e-5)] // the same of the others
    public void The_interval_is_the_published_one(long have, long number, double confidence, double lower, double upper, double within)
    {
        var (actualLower, actualUpper) = ExactShare.Between(have, number, confidence);
        Assert.Equal(lower, actualLower, within);
        Assert.Equal(upper, actualUpper, within);
    }

    [Theory]
    [InlineData(-1, 10, 0.95)]
    [InlineData(11, 10, 0.95)]
    [InlineData(0, 0, 0.95)]
    [InlineData(0, 10, 1)]
    public void What_is_no_sample_is_refused(long have, long number, double confidence)
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => ExactShare.AtMost(have, number, confidence));
        Assert.Throws<ArgumentOutOfRangeException>(() => ExactShare.AtLeast(have, number, confidence));
        Assert.Throws<ArgumentOutOfRangeException>(() => ExactShare.Between(have, number, confidence));
    }

    [Fact]
    public void A_confidence_of_less_than_nothing_is_refused() => Assert.Throws<ArgumentOutOfRangeException>(() => ExactShare.Between(1, 10, -0.5));
}
