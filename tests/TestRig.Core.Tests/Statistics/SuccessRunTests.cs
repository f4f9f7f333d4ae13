using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class SuccessRunTests
{
    /// <summary>29 and 59: "reliability" for Python, documentation; the others as tables of success runs have them (values from memory).</summary>
    [Theory]
    [InlineData(0.90, 0.90, 22)]
    [InlineData(0.90, 0.95, 29)]
    [InlineData(0.95, 0.95, 59)]
    [InlineData(0.99, 0.95, 299)]
    [InlineData(0.99, 0.90, 230)]
    [InlineData(0.95, 0.90, 45)]
    [InlineData(0.999, 0.95, 2995)]
    public void So_many_successes_show_it_and_one_fewer_does_not(double reliability, double confidence, long expected)
    {
        Assert.Equal(expected, SuccessRun.NumberNeeded(reliability, confidence));
        Assert.InRange(reliability, SuccessRun.Reliability(expected - 1, confidence), SuccessRun.Reliability(expected, confidence));
    }

    /// <summary>0.9³ = 0.729 and 0.8² = 0.64, whatever the rounding makes of the logarithms.</summary>
    [Theory]
    [InlineData(0.9, 0.271, 3)]
    [InlineData(0.8, 0.36, 2)]
    public void What_is_shown_exactly_needs_no_further_success(double reliability, double confidence, long expected)
    {
        Assert.Equal(expected, SuccessRun.NumberNeeded(reliability, confidence));
        Assert.Equal(reliability, SuccessRun.Reliability(expected, confidence), 1e-12);
    }

    [Theory]
    [InlineData(1, 0.95)]
    [InlineData(0.95, 1)]
    [InlineData(0, 0.95)]
    [InlineData(0.95, double.NaN)]
    public void What_no_run_can_show_is_refused(double reliability, double confidence) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => SuccessRun.NumberNeeded(reliability, confidence));

    [Fact]
    public void No_success_shows_nothing() => Assert.Throws<ArgumentOutOfRangeException>(() => SuccessRun.Reliability(0, 0.95));
}
