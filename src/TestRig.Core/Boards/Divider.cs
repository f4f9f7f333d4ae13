using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A resistive divider in a lead: <paramref name="Upper"/> from the test point to the adapter pin, <paramref name="Lower"/> from there to ground.</summary>
public sealed record Divider(Ohms Upper, Ohms Lower)
{
    /// <summary>Of a resistor whose tolerance nobody wrote: metal film (common practice).</summary>
    public const double UsualTolerance = 0.01;

    /// <summary>The E12 series of preferred values (IEC 60063: value from memory), falling.</summary>
    private static readonly double[] _preferred = [8.2, 6.8, 5.6, 4.7, 3.9, 3.3, 2.7, 2.2, 1.8, 1.5, 1.2, 1.0];

    private static readonly double[] _decades = [100_000, 10_000, 1_000];

    /// <summary>How far each resistor may be off, as a fraction of its value; 0.01 for ±1 %.</summary>
    public double Tolerance { get; init; } = UsualTolerance;

    /// <summary>Voltage at the adapter pin divided by voltage at the test point, with both resistors as written.</summary>
    public double Ratio => Lower.Value / (Upper.Value + Lower.Value);

    /// <summary>The same in the worst case for the pin: the upper resistor as small and the lower as large as the tolerance permits.</summary>
    public double HighestRatio =>
        Lower.Value * (1 + Tolerance) / ((Upper.Value * (1 - Tolerance)) + (Lower.Value * (1 + Tolerance)));

    /// <summary>
    /// A divider of 100 kohm above the largest preferred value that keeps <paramref name="highest"/> at or below <paramref name="atMost"/> in the worst case;
    /// null when there is none of at least 1 kohm.
    /// </summary>
    public static Divider? For(Volts highest, Volts atMost) =>
        _decades.SelectMany(decade => _preferred.Select(value => new Divider(new(100_000), new(value * decade))))
            .FirstOrDefault(divider => highest.Value * divider.HighestRatio <= atMost.Value);
}
