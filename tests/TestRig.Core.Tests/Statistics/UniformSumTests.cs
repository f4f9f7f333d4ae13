using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class UniformSumTests
{
    // A rectangle: 0.95 of the half-width. A triangle of full width 2Δ: Δ·(1 − √0.05) (JCGM 101:2008 and EA-4/02 name both distributions; the quantiles are exact mathematics).
    [Fact]
    public void Rectangle_and_triangle_have_their_closed_forms()
    {
        Assert.Equal(0.95 * 3, UniformSum.HalfWidth(new UniformPart(3)), 12);
        Assert.Equal(2 * (1 - Math.Sqrt(0.05)), UniformSum.HalfWidth(new UniformPart(1), new UniformPart(1)), 12);
        // Slopes begin beyond 95 %: the rectangle's own value.
        Assert.Equal(0.95, UniformSum.HalfWidth(new UniformPart(1), new UniformPart(0.04)), 12);
        Assert.Equal(0, UniformSum.HalfWidth(new UniformPart(0), new UniformPart(0)));
    }

    // Many equal parts are nearly normal: 1.959964 standard deviations, less the excess kurtosis −1.2/n by the Cornish-Fisher term (z³ − 3z)/24.
    [Theory]
    [InlineData(3)]
    [InlineData(5)]
    [InlineData(20)]
    [InlineData(400)]
    public void Many_equal_parts_approach_the_normal_distribution(int count)
    {
        const double z = 1.959964;
        var expected = z - (1.2 / count * ((z * z * z) - (3 * z)) / 24);
        Assert.Equal(expected, UniformSum.HalfWidth(new UniformPart(1, count)) / Math.Sqrt(count / 3.0), count < 5 ? 0.01 : 0.002);
    }

    [Fact]
    public void Three_parts_by_the_polynomial_and_by_the_inversion_agree()
    {
        foreach (var (a, b, c) in new[] { (1.0, 1.0, 1.0), (5.0, 3.0, 1.0), (1.0, 20.0, 2.0), (1.0, 0.3, 0.01) })
        {
            var exact = UniformSum.HalfWidth(new UniformPart(a), new(b), new(c));
            // More than three that are hardly there send it through the inversion.
            Assert.Equal(exact, UniformSum.HalfWidth(new UniformPart(a), new(b), new(c), new(a * 1e-3, 4)), exact * 1e-3);
        }
    }

    /// <summary>The truth is drawn here: how often does the sum lie within what is stated?</summary>
    [Theory]
    [InlineData(new[] { 1.0 })]
    [InlineData(new[] { 1.0, 1.0 })]
    [InlineData(new[] { 1.0, 0.5 })]
    [InlineData(new[] { 1.0, 0.07 })]
    [InlineData(new[] { 1.0, 0.03 })]
    [InlineData(new[] { 1.0, 1.0, 1.0 })]
    [InlineData(new[] { 0.2, 1.0, 3.0 })]
    [InlineData(new[] { 1.0, 1e-5, 0.4 })]
    [InlineData(new[] { 1.0, 0.3, 0.1, 2.0 })]
    [InlineData(new[] { 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 3.0 })]
    public void The_stated_share_of_drawn_sums_lies_within(double[] halfWidths)
    {
        const int draws = 40_000;
        var random = new Random(7);
        var stated = UniformSum.HalfWidth([.. halfWidths.Select(half => new UniformPart(half))]);
        var within = Enumerable.Range(0, draws).Count(_ => Math.Abs(halfWidths.Sum(half => half * ((2 * random.NextDouble()) - 1))) <= stated);
        // Five standard deviations of a count: √(0.95·0.05/40000).
        Assert.InRange((double)within / draws, 0.9445, 0.9555);
    }

    [Property(MaxTest = 200)]
    public Property Scaling_all_parts_scales_the_result() => Prop.ForAll(
        ArbMap.Default.ArbFor<PositiveInt>(), ArbMap.Default.ArbFor<PositiveInt>(), ArbMap.Default.ArbFor<PositiveInt>(), (a, b, scale) =>
        {
            var one = UniformSum.HalfWidth(new UniformPart(a.Get), new UniformPart(b.Get), new UniformPart(a.Get + b.Get));
            var scaled = UniformSum.HalfWidth(new UniformPart(a.Get * (double)scale.Get), new UniformPart(b.Get * (double)scale.Get), new UniformPart((a.Get + b.Get) * (double)scale.Get));
            return Math.Abs((one * scale.Get) - scaled) <= 1e-9 * scaled;
        });
}
