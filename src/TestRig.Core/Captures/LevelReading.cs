using TestRig.Core.Quantities;

namespace TestRig.Core.Captures;

/// <summary>An averaged voltage reading.</summary>
/// <param name="At">Start of the first conversion.</param>
/// <param name="Mean">At the test point, that is, before the divider.</param>
/// <param name="Minimum">The lowest of the samples.</param>
/// <param name="Maximum">The highest of the samples.</param>
/// <param name="Samples">Conversions averaged; at least 1.</param>
/// <param name="StandardUncertainty">Of the mean: reference, converter and spread together.</param>
public sealed record LevelReading(
    string Signal, Instant At, Volts Mean, Volts Minimum, Volts Maximum, int Samples, Volts StandardUncertainty)
{
    /// <summary>Coverage factor where nothing but the standard uncertainty is known (about 95 %; JCGM 100:2008 6.3.3).</summary>
    private const int CoverageFactor = 2;

    /// <summary>What the uncertainty is made of; null where that is not told.</summary>
    public LevelUnknowns? Unknowns { get; private init; }

    /// <summary>The part of the standard uncertainty that all readings through one converter have in common, in proportion to their voltages: its reference. 0 where that is not told.</summary>
    public Volts SharedUncertainty { get => Unknowns is { } unknowns ? new(unknowns.Reference / Math.Sqrt(3)) : field; init; }

    /// <summary>The rest of it, which no other reading shares.</summary>
    public Volts OwnUncertainty =>
        new(Math.Sqrt(Math.Max(0, (StandardUncertainty.Value * StandardUncertainty.Value) - (SharedUncertainty.Value * SharedUncertainty.Value))));

    /// <summary>Half-width of the interval that contains the voltage with a probability of 95 %.</summary>
    public Volts ExpandedUncertainty => new(Unknowns?.Expanded ?? (StandardUncertainty.Value * CoverageFactor));

    /// <summary>What it is judged with (JCGM 106:2012, guard band): so far off the voltage may be at all, where that is told.</summary>
    public Volts Guard => new(Unknowns?.Reach ?? (StandardUncertainty.Value * CoverageFactor));

    /// <summary>A reading with all that its uncertainty is made of.</summary>
    public static LevelReading With(string signal, Instant at, Volts mean, Volts minimum, Volts maximum, int samples, LevelUnknowns unknowns) =>
        new(signal, at, mean, minimum, maximum, samples, new(unknowns.Standard)) { Unknowns = unknowns };

    /// <summary>The same in front of a divider: all voltages higher, and uncertain by its two resistors.</summary>
    /// <param name="signal">The test point.</param>
    /// <param name="ratio">Voltage at the adapter's pin divided by the voltage at the test point; 1 for none.</param>
    /// <param name="tolerance">Of each resistor, as a fraction.</param>
    public LevelReading BeforeDivider(string signal, double ratio, double tolerance)
    {
        // What the upper resistor drops, of the whole: so much of a resistor's error comes into the voltage.
        var each = Math.Abs(Mean.Value / ratio) * (1 - ratio) * tolerance;
        var unknowns = Unknowns?.BeforeDivider(ratio, each);
        var standard = unknowns?.Standard ?? Math.Sqrt(Math.Pow(StandardUncertainty.Value / ratio, 2) + (2 * each * each / 3));
        return new(
            signal, At, new(Mean.Value / ratio), new(Minimum.Value / ratio), new(Maximum.Value / ratio), Samples, new(standard))
        { Unknowns = unknowns };
    }
}
