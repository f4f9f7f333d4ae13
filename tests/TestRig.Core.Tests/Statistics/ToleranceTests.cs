using MathNet.Numerics.Distributions;
using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class ToleranceTests
{
    // NIST/SEMATECH e-Handbook 7.2.6.3 (N = 43, coverage 90 %, confidence 99 %): z 1.645, χ² 23.650; two-sided approximate k2 2.217, four figures 2.2173.
    [Fact]
    public void The_distributions_underneath_have_the_handbooks_values()
    {
        Assert.Equal(1.645, Normal.InvCDF(0, 1, 0.95), 3);
        Assert.Equal(23.650, ChiSquared.InvCDF(42, 0.01), 3);
        // JCGM 106:2012 Table 1 (values from memory): p 0.80 0.90 0.95 0.99 0.999 ↔ z 0.84 1.28 1.64 2.33 3.09.
        foreach (var (p, z) in new[] { (0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09) })
            Assert.Equal(z, Normal.InvCDF(0, 1, p), 0.0051);
    }

    // NIST/SEMATECH 7.2.6.3 by the non-central t: N = 43 gives 1.8740, N = 6 gives 4.4111. EnvStats tolIntNormK.Rd: n = 20 99/90 3.051543, n = 8 95/95 3.187294.
    [Theory]
    [InlineData(43, 0.90, 0.99, 1.8740, 4)]
    [InlineData(6, 0.90, 0.99, 4.4111, 4)]
    [InlineData(20, 0.99, 0.90, 3.051543, 6)]
    [InlineData(8, 0.95, 0.95, 3.187294, 6)]
    public void One_sided_factors_are_the_published_ones(int number, double coverage, double confidence, double expected, int decimals) =>
        Assert.Equal(expected, NormalTolerance.OneSided(number, coverage, confidence), decimals);

    // Montgomery and Runger, Applied Statistics and Probability for Engineers, 7th ed., Table XII, as in tolerance_interval_py's tests. Order: confidence 90, 95, 99 %, each with coverage 90, 95, 99 %.
    [Theory]
    [InlineData(5, new[] { 2.742, 3.400, 4.666, 3.407, 4.203, 5.741, 5.362, 6.578, 8.939 })]
    [InlineData(10, new[] { 2.066, 2.568, 3.532, 2.355, 2.911, 3.981, 3.048, 3.738, 5.074 })]
    [InlineData(20, new[] { 1.765, 2.208, 3.052, 1.926, 2.396, 3.295, 2.276, 2.808, 3.832 })]
    [InlineData(30, new[] { 1.657, 2.080, 2.884, 1.777, 2.220, 3.064, 2.030, 2.515, 3.447 })]
    [InlineData(50, new[] { 1.559, 1.965, 2.735, 1.646, 2.065, 2.862, 1.821, 2.269, 3.125 })]
    [InlineData(100, new[] { 1.470, 1.861, 2.601, 1.527, 1.927, 2.684, 1.639, 2.056, 2.850 })]
    public void One_sided_factors_are_those_of_the_table(int number, double[] expected)
    {
        double[] shares = [0.90, 0.95, 0.99];
        for (var i = 0; i < 9; i++)
            Assert.Equal(expected[i], NormalTolerance.OneSided(number, shares[i % 3], shares[i / 3]), 0.0011);
    }

    // ISO 16269-6:2014 Annex F (population parameters unknown), as in tolerance_interval_py's tests: rounded up at the fourth decimal.
    [Theory]
    [InlineData(35, 0.90, 0.90, 1.9906)]
    [InlineData(100, 0.90, 0.90, 1.8232)]
    [InlineData(30, 0.95, 0.90, 2.4166)]
    [InlineData(8, 0.90, 0.95, 3.1561)]
    [InlineData(35, 0.90, 0.95, 2.0943)]
    [InlineData(5, 0.95, 0.95, 5.0769)]
    [InlineData(10, 0.95, 0.95, 3.3935)]
    [InlineData(26, 0.95, 0.95, 2.6188)]
    [InlineData(90, 0.95, 0.95, 2.2519)]
    [InlineData(200, 0.95, 0.95, 2.1430)]
    [InlineData(35, 0.99, 0.95, 3.2762)]
    [InlineData(10, 0.90, 0.99, 3.6167)]
    [InlineData(22, 0.90, 0.99, 2.5979)]
    [InlineData(40, 0.95, 0.99, 2.6836)]
    [InlineData(28, 0.99, 0.99, 3.8042)]
    public void Two_sided_factors_are_those_of_the_standard(int number, double coverage, double confidence, double expected) =>
        Assert.Equal(expected, Math.Ceiling(NormalTolerance.TwoSided(number, coverage, confidence) * 1e4) / 1e4, 4);

    // EnvStats tolIntNormK.Rd: two-sided n = 20 95/95 exact 2.760346. NIST/SEMATECH 7.2.6.3 approximates N = 43 90/99 by 2.2173.
    [Fact]
    public void Two_sided_factors_agree_with_other_programs()
    {
        Assert.Equal(2.760346, NormalTolerance.TwoSided(20, 0.95, 0.95), 6);
        Assert.Equal(2.2173, NormalTolerance.TwoSided(43, 0.90, 0.99), 0.006);
    }

    // USEPA 2009 Unified Guidance Example 17-3: upper 95/95 of ln x of eight values, mean 2.5085773, s 0.6279479, limit 4.510032, that is 90.9247.
    [Fact]
    public void An_upper_limit_of_published_data_is_the_published_one()
    {
        double[] data = [19.7, 39.2, 7.8, 12.8, 10.2, 7.2, 16.1, 5.7];
        var seen = new RunningMean();
        foreach (var value in data)
            seen.Add(Math.Log(value));
        Assert.Equal(2.5085773, seen.Mean, 7);
        Assert.Equal(0.6279479, seen.StandardDeviation!.Value, 7);
        Assert.Equal(90.9247, Math.Exp(seen.Mean + (NormalTolerance.OneSided(8, 0.95, 0.95) * seen.StandardDeviation.Value)), 4);
    }

    // EnvStats tolIntNparN.Rd: 95/95 needs 59 (one-sided) and 93 (two-sided); with ranks up to 5: 93 124 153 181 208. 99/95: 299 and 473 (computed by independent code, no published figure seen).
    [Theory]
    [InlineData(1, 0.95, 59)]
    [InlineData(2, 0.95, 93)]
    [InlineData(3, 0.95, 124)]
    [InlineData(4, 0.95, 153)]
    [InlineData(5, 0.95, 181)]
    [InlineData(6, 0.95, 208)]
    [InlineData(1, 0.99, 299)]
    [InlineData(2, 0.99, 473)]
    public void Limits_without_a_distribution_need_so_many_values(int blocks, double coverage, int expected)
    {
        Assert.Equal(expected, OrderStatisticTolerance.NumberNeeded(blocks, coverage, 0.95));
        Assert.True(OrderStatisticTolerance.Confidence(expected - 1, blocks, coverage) < 0.95);
    }

    // USEPA 2009 Unified Guidance Example 17-4: the largest of 24 covers 0.8826538 with 95 % confidence; its confidence at 95 % coverage is 0.708011.
    [Fact]
    public void The_largest_of_24_covers_what_is_published()
    {
        Assert.Equal(0.8826538, OrderStatisticTolerance.Coverage(24, 1, 0.95), 7);
        Assert.Equal(0.708011, OrderStatisticTolerance.Confidence(24, 1, 0.95), 6);
    }

    // Meeker, Hahn and Escobar, Statistical Intervals (2017), Table J11, n = 100, as in tolerance_interval_py's tests: coverage 75, 90, 95, 99 %, each with confidence 90, 95, 99 %.
    [Theory]
    [InlineData(0.75, new[] { 20, 18, 15 })]
    [InlineData(0.90, new[] { 6, 5, 4 })]
    [InlineData(0.95, new[] { 2, 2, 1 })]
    [InlineData(0.99, new[] { 0, 0, 0 })]
    public void Ranks_of_limits_without_a_distribution_are_those_of_the_table(double coverage, int[] expected) =>
        Assert.Equal<int>(expected, new[] { 0.90, 0.95, 0.99 }.Select(confidence => OrderStatisticTolerance.BlocksPermitted(100, coverage, confidence)));

    [Fact]
    public void What_makes_no_sense_is_refused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => NormalTolerance.OneSided(1, 0.95, 0.95));
        Assert.Throws<ArgumentOutOfRangeException>(() => NormalTolerance.TwoSided(10, 1, 0.95));
        Assert.Throws<ArgumentOutOfRangeException>(() => OrderStatisticTolerance.NumberNeeded(0, 0.95, 0.95));
        Assert.Throws<ArgumentOutOfRangeException>(() => OrderStatisticTolerance.Coverage(10, 1, double.NaN));
    }

    // Whoever draws the samples himself: a normal population of mean 3 and s 2 is covered as often as was promised.
    [Fact]
    public void Limits_of_drawn_samples_cover_as_often_as_they_promise()
    {
        var random = new Random(20261125);
        const int samples = 4000, number = 12;
        var factor = NormalTolerance.TwoSided(number, 0.90, 0.95);
        var covered = 0;
        for (var sample = 0; sample < samples; sample++)
        {
            var seen = new RunningMean();
            for (var i = 0; i < number; i++)
                seen.Add(3 + (2 * Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble())));
            var (low, high) = ((seen.Mean - (factor * seen.StandardDeviation!.Value) - 3) / 2, (seen.Mean + (factor * seen.StandardDeviation.Value) - 3) / 2);
            if (Normal.CDF(0, 1, high) - Normal.CDF(0, 1, low) >= 0.90)
                covered++;
        }
        // Binomial: 0.95 ± 4 standard deviations of √(0.95·0.05/4000).
        Assert.InRange((double)covered / samples, 0.936, 0.964);
    }
}
