using TestRig.Core.Statistics;

namespace TestRig.Core.Captures;

/// <summary>What is not known of an averaged voltage: half-widths in volts, each of a uniform distribution (JCGM 100:2008 4.3.7), none negative.</summary>
/// <param name="Reference">What the tolerance of the converter's reference makes of the reading.</param>
/// <param name="Step">Half a step of the converter; its standard uncertainty is step/√12 (JCGM 100:2008 F.2.2.1).</param>
/// <param name="Converter">The converter's own inaccuracy.</param>
/// <param name="Spread">Half of the samples' range over √n: what averaging left of the noise.</param>
/// <param name="Resistor">What the tolerance of each of a divider's two resistors makes of it.</param>
public readonly record struct LevelUnknowns(double Reference, double Step, double Converter, double Spread, double Resistor = 0)
{
    /// <summary>Standard uncertainty in volts.</summary>
    public double Standard => UniformSum.StandardDeviation(new UniformPart(Reference), new(Step), new(Converter), new(Spread), new(Resistor, 2));

    /// <summary>Half-width in volts of the interval that contains the voltage with a probability of 95 %.</summary>
    public double Expanded => UniformSum.HalfWidth(new UniformPart(Reference), new(Step), new(Converter), new(Spread), new(Resistor, 2));

    /// <summary>In volts: all of it together, at its worst.</summary>
    public double Reach => Reference + Step + Converter + Spread + (2 * Resistor);

    /// <summary>Of one reading through a converter.</summary>
    /// <param name="mean">In volts.</param>
    /// <param name="range">Largest minus smallest sample, in volts.</param>
    /// <param name="samples">At least 1.</param>
    /// <param name="referenceTolerance">As a fraction.</param>
    /// <param name="step">Of the converter, in volts.</param>
    /// <param name="inaccuracy">Of the converter, in steps: half-width.</param>
    public static LevelUnknowns Of(double mean, double range, int samples, double referenceTolerance, double step, double inaccuracy) =>
        new(Math.Abs(mean) * referenceTolerance, step / 2, inaccuracy * step, range / 2 / Math.Sqrt(samples));

    internal LevelUnknowns BeforeDivider(double ratio, double resistor) =>
        new(Reference / ratio, Step / ratio, Converter / ratio, Spread / ratio, resistor);
}
