using TestRig.Core.Trials;

namespace TestRig.Core.Tests.Trials;

public class BatchTrialTests
{
    private static BatchTrial Of(params double[] ratios) => BatchTrial.Of([.. ratios.Select((ratio, index) => SomeSocket.Trial(index + 1, ratio))]);

    [Fact]
    public void A_part_far_from_the_others_is_an_outlier_though_it_conforms()
    {
        var batch = Of(0.70, 0.72, 0.68, 0.71, 0.69, 1.2);
        var outlier = Assert.Single(batch.Outliers);
        Assert.Equal((6, TrialFigure.TransferRatio), (outlier.Number, outlier.Figure));
        Assert.Equal(TrialVerdict.Conforms, batch.Verdict);
    }

    /// <summary>0.705 is many MADs off, and within what the measurement does not know.</summary>
    [Fact]
    public void What_the_measurement_explains_is_no_outlier() => Assert.Empty(Of(0.7, 0.7001, 0.6999, 0.7002, 0.7, 0.705).Outliers);

    [Fact]
    public void Of_four_parts_none_is_an_outlier() => Assert.Empty(Of(0.7, 0.71, 0.69, 1.3).Outliers);

    [Theory]
    [InlineData(new[] { 0.4, 0.42, 0.41, 0.9, 0.92, 0.91 }, true)]
    [InlineData(new[] { 0.4, 0.5, 0.6, 0.7, 0.8, 0.9 }, false)]
    [InlineData(new[] { 0.4, 0.42, 0.41, 0.43, 0.9 }, false)]
    public void Two_groups_with_a_gap_between_them_are_suspected_to_be_two_deliveries(double[] ratios, bool suspected) =>
        Assert.Equal(suspected, Of(ratios).Suspicions.Any(words => words.Contains("two groups", StringComparison.Ordinal)));

    /// <summary>
    /// Mean 0.70 and standard deviation √(0.00105 / 7) = 0.0122474 of the ratios set; the bleeder adds 0.00009. k of ISO 16269-6:2014 Annex F for n = 8, 90 % with 95 %: 3.1561.
    /// </summary>
    [Fact]
    public void The_tolerance_interval_of_the_delivery_is_mean_and_k_deviations()
    {
        var limits = Of(0.68, 0.69, 0.70, 0.71, 0.72, 0.695, 0.705, 0.70).TransferRatio!;
        Assert.Equal(0.7001, (limits.Upper!.Value + limits.Lower!.Value) / 2, 3);
        Assert.Equal(3.1561, (limits.Upper.Value - limits.Lower.Value) / 2 / 0.0122474, 3);
    }

    [Fact]
    public void One_part_that_violates_is_the_verdict_of_the_batch() => Assert.Equal(TrialVerdict.Violates, Of(0.7, 0.1, 0.7).Verdict);

    [Fact]
    public void No_part_is_no_verdict() => Assert.Equal(TrialVerdict.NotResolved, BatchTrial.Of([]).Verdict);
}
