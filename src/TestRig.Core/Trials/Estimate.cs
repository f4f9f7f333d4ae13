namespace TestRig.Core.Trials;

/// <summary>A measured value and what is not known of it. In the unit of its figure: volts, amperes, seconds, or a fraction.</summary>
/// <param name="StandardUncertainty">JCGM 100; at least 0.</param>
/// <param name="AtLeast">True where the measurement only bounds it: the value is this or more.</param>
public sealed record Estimate(double Value, double StandardUncertainty, bool AtLeast = false)
{
    /// <summary>Coverage factor of about 95 % (JCGM 100:2008 6.3.3).</summary>
    private const double CoverageFactor = 2;

    /// <summary>Half-width of the interval that contains the value with a probability of about 95 %.</summary>
    public double Expanded { get; init; } = CoverageFactor * StandardUncertainty;
}
