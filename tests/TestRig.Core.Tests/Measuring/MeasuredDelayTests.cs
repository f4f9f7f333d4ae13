using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Measuring;

public class MeasuredDelayTests
{
    // Difference of two uniform instants of width Δ: Δ/√6. Figures recomputed from JCGM 100:2008 4.3.7 and F.2.2.1 (no published figure seen).
    [Theory]
    [InlineData(62_500, 25_516)]
    [InlineData(4_000_000, 1_632_994)]
    public void Two_instants_of_equal_width_give_a_sixth_root_of_six(long width, long expected)
    {
        var cause = new Change(new(0), new(width), Level.High);
        var effect = new Change(new(10 * width), new(11 * width), Level.High);
        var delay = MeasuredDelay.Between(cause, effect, clockTolerance: 0);
        Assert.Equal(10 * width, delay.Value.Picoseconds);
        Assert.InRange(delay.StandardUncertainty.Picoseconds, expected, expected + 1);
    }

    [Fact]
    public void The_clock_adds_in_proportion_to_the_delay()
    {
        // 0.5 % of 100 ms is 0.5 ms, uniform: /√3 = 288.7 µs; the instants' own 62.5 ns vanish beside it.
        var delay = MeasuredDelay.Between(
            new(new(0), new(62_500), Level.High), new(new(100_000_000_000), new(100_000_062_500), Level.High), clockTolerance: 0.005);
        Assert.InRange(delay.StandardUncertainty.ToSeconds(), 288.6e-6, 288.8e-6);
    }
}
