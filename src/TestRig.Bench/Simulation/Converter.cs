using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>The adapter's converter: 10 bits against a supply that is not exactly 5 V, with noise of about one step.</summary>
internal sealed class Converter(Variation variation)
{
    private const double NoiseSteps = 0.7;

    private readonly Random _noise = Variation.OfEvents(variation.For("converter"));

    /// <summary>Within a third of what is stated: most supplies are better than their tolerance.</summary>
    private readonly double _reference = AdapterFigures.ReferenceVolts * Variation.Factor(variation.For("reference"), AdapterFigures.ReferenceTolerance / 3);

    private static double Step => AdapterFigures.ReferenceVolts / AdapterFigures.ConverterSteps;

    /// <summary>One conversion of the voltage at a pin.</summary>
    public int Convert(double volts)
    {
        var steps = volts / _reference * AdapterFigures.ConverterSteps;
        // Two uniform numbers give a triangle around the true value.
        var noise = NoiseSteps * (_noise.NextDouble() + _noise.NextDouble() - 1);
        return (int)Math.Clamp(Math.Floor(steps + noise + 0.5), 0, AdapterFigures.ConverterSteps - 1);
    }

    /// <summary>
    /// What the adapter can say of the pin's voltage: it takes its reference for nominal. The standard uncertainty joins the reference's tolerance (uniform,
    /// half-width / √3), one step (uniform, step / √12; JCGM 100:2008, F.2.2.1), and the spread of the samples, taken as uniform, over √n.
    /// </summary>
    public static LevelReading Reading(string pin, Instant at, IReadOnlyCollection<int> counts)
    {
        var mean = counts.Average() * Step;
        var reference = AdapterFigures.ReferenceTolerance * mean / Math.Sqrt(3);
        var quantisation = Step / Math.Sqrt(12);
        var spread = (counts.Max() - counts.Min()) * Step / Math.Sqrt(12) / Math.Sqrt(counts.Count);
        return new(
            pin, at, new(mean), new(counts.Min() * Step), new(counts.Max() * Step), counts.Count,
            new(Math.Sqrt((reference * reference) + (quantisation * quantisation) + (spread * spread))))
        { SharedUncertainty = new(reference) };
    }
}
