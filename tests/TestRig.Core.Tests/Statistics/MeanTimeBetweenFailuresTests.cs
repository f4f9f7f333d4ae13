using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class MeanTimeBetweenFailuresTests
{
    /// <summary>NIST/SEMATECH e-Handbook 8.4.5.1: two failures in 800 hours, 90 %.</summary>
    [Fact]
    public void The_handbooks_interval_comes_out()
    {
        var (lower, upper) = MeanTimeBetweenFailures.Between(2, 800, 0.90);
        Assert.Equal(127.069, lower, 0.0006);
        Assert.Equal(2251.229, upper!.Value, 0.0006);
    }

    /// <summary>Without a failure: NIST/SEMATECH e-Handbook 8.4.5.1. With some: factors of MIL-HDBK-338B (values from memory).</summary>
    [Theory]
    [InlineData(0, 0.60, 0.9163)]
    [InlineData(0, 0.80, 1.6094)]
    [InlineData(0, 0.90, 2.3026)]
    [InlineData(0, 0.95, 2.9957)]
    [InlineData(1, 0.90, 3.8897)]
    [InlineData(2, 0.90, 5.3223)]
    [InlineData(3, 0.90, 6.6808)]
    [InlineData(5, 0.90, 9.2747)]
    [InlineData(10, 0.90, 15.4066)]
    [InlineData(1, 0.95, 4.7439)]
    [InlineData(2, 0.95, 6.2958)]
    [InlineData(3, 0.95, 7.7537)]
    [InlineData(5, 0.95, 10.5130)]
    [InlineData(10, 0.95, 16.9622)]
    public void The_lower_bound_is_the_time_by_the_published_factor(long failures, double confidence, double factor) =>
        Assert.Equal(factor, 800 / MeanTimeBetweenFailures.AtLeast(failures, 800, confidence), 0.000051);

    /// <summary>R package EnvStats, epois: 36 events in 20 units, exact, 90 %: a rate of 1.336558..2.377037.</summary>
    [Fact]
    public void Its_inverse_is_the_published_interval_of_a_rate()
    {
        var (lower, upper) = MeanTimeBetweenFailures.Between(36, 20, 0.90);
        Assert.Equal(2.377037, 1 / lower, 6);
        Assert.Equal(1.336558, 1 / upper!.Value, 6);
    }

    /// <summary>Garwood, Biometrika 28 (1936) 437-442, upper limits of a count, 95 % two-sided (values from memory).</summary>
    [Theory]
    [InlineData(0, 3.6889)]
    [InlineData(1, 5.5716)]
    [InlineData(2, 7.2247)]
    [InlineData(5, 11.6683)]
    [InlineData(10, 18.3904)]
    public void Its_inverse_is_the_published_limit_of_a_count(long failures, double limit) =>
        Assert.Equal(limit, 1 / MeanTimeBetweenFailures.Between(failures, 1, 0.95).Lower, 0.000051);

    [Fact]
    public void Without_a_failure_nothing_limits_it_from_above() => Assert.Null(MeanTimeBetweenFailures.Between(0, 800, 0.90).Upper);

    [Theory]
    [InlineData(-1, 800, 0.9)]
    [InlineData(0, 0, 0.9)]
    [InlineData(0, double.PositiveInfinity, 0.9)]
    [InlineData(0, double.NaN, 0.9)]
    [InlineData(0, 800, 1)]
    [InlineData(0, 800, -0.5)]
    public void What_is_no_test_is_refused(long failures, double time, double confidence)
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => MeanTimeBetweenFailures.AtLeast(failures, time, confidence));
        Assert.Throws<ArgumentOutOfRangeException>(() => MeanTimeBetweenFailures.Between(failures, time, confidence));
    }
}
