using TestRig.Core.Trials;

namespace TestRig.Core.Tests.Trials;

public class TrialLimitTests
{
    /// <summary>JCGM 106:2012 8.3: the interval of ± 2 u lies on one side of the limit, or nothing is said.</summary>
    [Theory]
    [InlineData(0.25, 0.02, TrialVerdict.Conforms)]
    [InlineData(0.23, 0.02, TrialVerdict.NotResolved)]
    [InlineData(0.17, 0.02, TrialVerdict.NotResolved)]
    [InlineData(0.15, 0.02, TrialVerdict.Violates)]
    [InlineData(0.77, 0.02, TrialVerdict.NotResolved)]
    [InlineData(0.85, 0.02, TrialVerdict.Violates)]
    public void A_guard_band_of_the_expanded_uncertainty_lies_inside_each_limit(double value, double uncertainty, TrialVerdict verdict) =>
        Assert.Equal(verdict, new TrialLimit(TrialFigure.TransferRatio, 0.2, 0.8, "test").Judge(new(value, uncertainty)));

    [Theory]
    [InlineData(0.5, null, TrialVerdict.Conforms)]
    [InlineData(0.5, 0.8, TrialVerdict.NotResolved)]
    [InlineData(0.9, 0.8, TrialVerdict.Violates)]
    public void What_is_only_bounded_from_below_is_below_no_upper_limit(double value, double? maximum, TrialVerdict verdict) =>
        Assert.Equal(verdict, new TrialLimit(TrialFigure.TransferRatio, 0.2, maximum, "test").Judge(new(value, 0.01, AtLeast: true)));

    [Fact]
    public void What_was_not_measured_is_not_resolved() => Assert.Equal(TrialVerdict.NotResolved, new TrialLimit(TrialFigure.Leakage, null, 1, "test").Judge(null));

    /// <summary>
    /// By hand, the sheet's 2.8 µs at most twice, and twice what the load adds: 501 × 19 pF × 4.7 kohm = 44.739 µs, 5 mA × 4.7 kohm / 4.85 V = 4.8454, 2.5 / 4.85 = 0.51546;
    /// ln(4.8454 / 4.3299) = 0.11248, so 5.6 + 2 × 5.0322 = 15.664 µs.
    /// </summary>
    [Fact]
    public void A_delay_is_judged_at_the_current_of_the_part() =>
        Assert.Equal(15.664e-6, TrialLimit.Of(SomeSocket.With(), SomeSocket.Type, new(0.005)).Single(limit => limit.Figure == TrialFigure.OnDelay).Maximum!.Value, 8);

    /// <summary>0.5 mA lift 4.7 kohm to 2.35 V, and half-way is 2.5 V.</summary>
    [Fact]
    public void A_current_that_never_gets_half_way_has_no_delay_to_judge() =>
        Assert.DoesNotContain(TrialLimit.Of(SomeSocket.With(), SomeSocket.Type, new(0.0005)), limit => limit.Figure is TrialFigure.OnDelay or TrialFigure.OffDelay);
}
