using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Captures;

public class LevelReadingTests
{
    // One step of 5 V / 1024 is 4.8828 mV, its standard uncertainty 1.4095 mV: step / √12, JCGM 100:2008 F.2.2.1 (derived value).
    [Fact]
    public void One_step_of_the_converter_is_uncertain_by_its_twelfth_root() =>
        Assert.Equal(1.4095e-3, LevelUnknowns.Of(0, 0, 1, 0, 5.0 / 1024, 0).Standard, 7);

    [Fact]
    public void A_reference_alone_makes_a_rectangle_of_which_95_percent_are_stated() =>
        Assert.Equal(0.95 * 0.05 * 3, LevelUnknowns.Of(3, 0, 8, 0.05, 0, 0).Expanded, 9);

    /// <summary>The truth is drawn: the voltage, the reference, two resistors, the converter's error and its steps.</summary>
    [Theory]
    [InlineData(0.0, 0.05)]
    [InlineData(0.01, 0.05)]
    [InlineData(0.05, 0.01)]
    [InlineData(0.01, 0.0)]
    public void A_voltage_before_a_divider_lies_within_what_is_stated_in_94_to_97_of_100_draws(double resistorTolerance, double referenceTolerance)
    {
        var random = new Random(5);
        const int draws = 20_000;
        const double step = 5.0 / 1024, upper = 10_000, lower = 4_700;
        var covered = 0;
        for (var draw = 0; draw < draws; draw++)
        {
            double Off(double tolerance) => 1 + (tolerance * ((2 * random.NextDouble()) - 1));
            var truth = 2 + (10 * random.NextDouble());
            var (above, below) = (upper * Off(resistorTolerance), lower * Off(resistorTolerance));
            var pin = truth * below / (above + below);
            var converted = (pin / Off(referenceTolerance)) + (2 * step * (Off(1) - 1));
            var counts = Math.Floor(converted / step) + 0.5;
            var reading = LevelReading.With("A0", Instant.Start, new(counts * step), new(counts * step), new(counts * step), 8, LevelUnknowns.Of(counts * step, 0, 8, referenceTolerance, step, 2))
                .BeforeDivider("OK1.5", lower / (upper + lower), resistorTolerance);
            covered += Math.Abs(reading.Mean.Value - truth) <= reading.ExpandedUncertainty.Value ? 1 : 0;
        }
        Assert.InRange((double)covered / draws, 0.94, 0.97);
    }
}
