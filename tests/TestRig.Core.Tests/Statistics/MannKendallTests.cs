using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class MannKendallTests
{
    // USEPA QA/G-9S (2006) p. 109: ties of 4 and 2.
    [Fact]
    public void A_short_series_with_ties_has_the_published_score()
    {
        var test = MannKendall.Of([10, 10, 10, 5, 10, 20, 18, 17, 15, 24, 15]);
        Assert.Equal(22, test.Score);
        Assert.Equal(155.33, test.Variance, 2);
        Assert.Equal(1.685, test.Deviate, 3);
    }

    // R package EnvStats, kendallTrendTest of the sulfate series: tau 0.7667984 of 253 pairs, z 5.107322, p 3.267574e-07.
    [Fact]
    public void The_sulfate_series_has_the_published_significance()
    {
        var test = MannKendall.Of([.. Published.Sulfate.Values()]);
        Assert.Equal(0.7667984, test.Score / 253.0, 7);
        Assert.Equal(5.107322, test.Deviate, 6);
        Assert.Equal(3.267574e-07, test.Probability, 5e-14);
    }

    // pyMannKendall's example: S 440, tau 0.69841 of 630 pairs; Hamed and Rao: variance 7322.011, Z 5.1304.
    [Fact]
    public void The_shampoo_series_has_the_published_significance_with_and_without_its_autocorrelation()
    {
        var plain = MannKendall.Of([.. Published.Shampoo.Values()]);
        Assert.Equal(440, plain.Score);
        var corrected = plain with { Variance = plain.Variance * HamedRao.VarianceFactor([.. Published.Shampoo.Less(11.509375)]) };
        Assert.Equal(7322.011, corrected.Variance, 3);
        Assert.Equal(5.1304, corrected.Deviate, 4);
        // n(n − 1)(2n + 5)/18, no ties; (440 − 1)/√5390 as tabulated.
        Assert.Equal(5390, plain.Variance);
        Assert.Equal(5.97957, plain.Deviate, 5);
    }

    [Property(MaxTest = 300)]
    public bool The_score_is_that_of_all_pairs_and_of_the_reverse_the_opposite(short[] wide, byte[] tied)
    {
        double[] values = [.. wide, .. tied.Select(value => value % 4)];
        var pairs = from later in Enumerable.Range(0, values.Length) from earlier in Enumerable.Range(0, later) select Math.Sign(values[later] - values[earlier]);
        var (test, reverse) = (MannKendall.Of(values), MannKendall.Of([.. values.Reverse()]));
        return test.Score == pairs.Sum() && reverse == test with { Score = -test.Score };
    }

    [Fact]
    public void Nothing_and_equal_values_have_no_tendency()
    {
        Assert.Equal(new MannKendall(0, 0), MannKendall.Of([]));
        Assert.Equal(new MannKendall(0, 0), MannKendall.Of([3, 3, 3, 3]));
        Assert.Equal(1, MannKendall.Of([3, 3, 3, 3]).Probability);
    }

    // All pairs of a million would be 5·10¹¹; the score of a rising series is their number.
    [Fact]
    public void A_million_values_are_soon_counted() =>
        Assert.Equal(499_999_500_000, MannKendall.Of([.. Enumerable.Range(0, 1_000_000).Select(value => (double)value)]).Score);

    [Fact]
    public void What_has_no_order_is_refused() => Assert.Throws<ArgumentException>(() => MannKendall.Of([1, double.NaN, 3]));

    [Fact]
    public void Equal_values_are_not_taken_for_alike_neighbours()
    {
        Assert.Equal(1, HamedRao.VarianceFactor([5, 5, 5, 5]));
        Assert.Throws<ArgumentOutOfRangeException>(() => HamedRao.VarianceFactor([5, 6]));
    }

    [Fact]
    public void Unlike_neighbours_make_the_factor_less_than_one() =>
        Assert.True(HamedRao.VarianceFactor([.. Enumerable.Range(0, 40).Select(i => i % 2.0)]) < 1);
}
