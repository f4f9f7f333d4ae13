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

    [Theory]
    [InlineData(-1, 10, 0.95)]
    [InlineData(11, 10, 0.95)]
    [InlineData(0, 0, 0.95)]
    [InlineData(0, 10, 1)]
    public void What_is_no_sample_is_refused(int have, int number, double confidence) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => ExactShare.AtMost(have, number, confidence));
}
