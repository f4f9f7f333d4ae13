using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

/// <summary>Two samples against each other.</summary>
public class ComparisonTests
{
    /// <summary>
    /// Fisher's tea taster and Fisher's convictions of like-sex twins, as R's documentation of fisher.test has them: 0.2429 and 0.0004652, one-sided (values from memory; the first is 17/70).
    /// </summary>
    [Theory]
    [InlineData(3, 4, 1, 4, 0.2429, 4)]
    [InlineData(10, 13, 2, 17, 0.0004652, 7)]
    public void The_published_tables_have_their_probabilities(long have, long number, long otherHave, long otherNumber, double probability, int digits) =>
        Assert.Equal(probability, FisherExact.Probability(have, number, otherHave, otherNumber), digits);

    /// <summary>With one that has it, among equally many, chance gives it to either: n/(n + m), by counting.</summary>
    [Theory]
    [InlineData(1, 1, 0.5)]
    [InlineData(500, 8000, 500.0 / 8500)]
    [InlineData(1_000_000, 3_000_000, 0.25)]
    public void One_among_all_falls_on_either_by_their_sizes(long number, long otherNumber, double probability) =>
        Assert.Equal(probability, FisherExact.Probability(1, number, 0, otherNumber), 9);

    [Fact]
    public void None_anywhere_and_all_everywhere_tell_nothing()
    {
        Assert.Equal(1, FisherExact.Probability(0, 10, 0, 20), 12);
        Assert.Equal(1, FisherExact.Probability(10, 10, 20, 20), 12);
    }

    [Theory]
    [InlineData(-1, 3, 0, 3)]
    [InlineData(4, 3, 0, 3)]
    [InlineData(0, 0, 0, 3)]
    [InlineData(0, 3, 0, 0)]
    public void What_is_no_sample_is_refused(long have, long number, long otherHave, long otherNumber) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => FisherExact.Probability(have, number, otherHave, otherNumber));

    /// <summary>
    /// NIST/SEMATECH e-Handbook 1.3.5.3, AUTO83B.DAT: 249 cars of 20.14458 ± 6.41470 and 79 of 30.48101 ± 6.10771; for unequal variances T = −12.94627, ν = 136.8750, critical value 1.9775 at 5 % (values from memory).
    /// </summary>
    [Fact]
    public void The_published_cars_differ_as_they_should()
    {
        var difference = MeanDifference.Of(new(20.14458, 6.41470 / Math.Sqrt(249), 248), new(30.48101, 6.10771 / Math.Sqrt(79), 78));
        Assert.Equal(12.94627, difference.Value / difference.StandardError, 3);
        Assert.Equal(136.8750, difference.Degrees, 1);
        Assert.Equal(1.9775, difference.HalfWidth(0.05) / difference.StandardError, tolerance: 1e-4);
    }

    [Fact]
    public void What_does_not_scatter_is_known_exactly()
    {
        var difference = MeanDifference.Of(BatchMean.Of([5, 5, 5])!, BatchMean.Of([7, 7])!);
        Assert.Equal(2, difference.Value);
        Assert.Equal(0, difference.HalfWidth(0.001));
    }

    [Fact]
    public void Of_few_values_the_error_of_the_mean_is_that_of_JCGM_100()
    {
        // JCGM 100:2008 4.2.3: the experimental standard deviation over √n. Of 1, 2, 3, 4 that is √(5/3)/2, by hand.
        var mean = BatchMean.Of([1, 2, 3, 4])!;
        Assert.Equal(2.5, mean.Mean, 12);
        Assert.Equal(Math.Sqrt(5.0 / 3) / 2, mean.StandardError, 12);
        Assert.Equal(3, mean.Degrees);
        Assert.Null(BatchMean.Of([1]));
    }

    /// <summary>
    /// Of x(k) = 0.9·x(k − 1) + noise of variance 1, the mean of n has a variance of 100/n for large n: 1/(1 − 0.9)² (Box and Jenkins: value from memory). Taken as independent, √(5.26/n) would be told: four times too little.
    /// </summary>
    [Fact]
    public void Neighbours_that_are_alike_do_not_make_the_mean_look_better_than_it_is()
    {
        const int Number = 30_000;
        var random = new Random(7);
        var (value, values) = (0.0, new double[Number]);
        for (var i = 0; i < Number; i++)
            values[i] = value = (0.9 * value) + MathNet.Numerics.Distributions.Normal.Sample(random, 0, 1);
        var error = BatchMean.Of(values)!.StandardError;
        Assert.InRange(error / Math.Sqrt(100.0 / Number), 0.7, 1.4);
    }
}
