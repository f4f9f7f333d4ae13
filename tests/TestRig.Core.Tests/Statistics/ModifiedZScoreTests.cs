using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class ModifiedZScoreTests
{
    /// <summary>
    /// Values of NIST/SEMATECH e-Handbook 1.3.5.17.1 (uranium isotopes, Tietjen and Moore: values from memory), where Grubbs' test finds 245.57 an outlier. By hand: median 201.37, MAD
    /// (0.81 + 1.18) / 2 = 0.995, score 0.6745 × 44.20 / 0.995 = 29.963; of 199.31, 0.6745 × −2.06 / 0.995 = −1.396.
    /// </summary>
    [Fact]
    public void The_outlier_of_the_handbook_is_found_and_none_other()
    {
        var scores = ModifiedZScore.Of([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57])!;
        Assert.Equal(29.963, scores[7], 3);
        Assert.Equal(-1.396, scores[0], 3);
        Assert.Single(scores, score => Math.Abs(score) > ModifiedZScore.Limit);
    }

    /// <summary>Median 12, MAD 1: a published table (codingace.net, modified z-score, seen November 2026).</summary>
    [Fact]
    public void Scores_are_those_of_a_published_table() =>
        Assert.Equal([-1.3490, 0, 0, 0.6745, 0, -0.6745, 1.3490, 194.2560], ModifiedZScore.Of([10, 12, 12, 13, 12, 11, 14, 300])!.Select(score => Math.Round(score, 4)));

    [Fact]
    public void Where_half_of_the_values_are_the_same_nothing_is_told() => Assert.Null(ModifiedZScore.Of([10, 10, 10, 10, 100]));

    [Fact]
    public void The_median_of_an_even_number_is_between_the_two_in_the_middle() => Assert.Equal(2.5, ModifiedZScore.Median([4, 1, 3, 2]));

    [Fact]
    public void Of_no_values_there_is_none() => Assert.Throws<ArgumentOutOfRangeException>(() => ModifiedZScore.Of([]));
}
