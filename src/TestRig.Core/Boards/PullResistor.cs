using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A resistor from a net to a supply or to ground: a pull-up, a load, an LED with its resistor.</summary>
/// <param name="Resistance">Nominal.</param>
/// <param name="Supply">Null for ground.</param>
/// <param name="Drop">Of a diode in series with it, typical; 0 without one.</param>
/// <param name="Origin">Where the figures come from.</param>
public sealed record PullResistor(Ohms Resistance, Supply? Supply, Volts Drop, string Origin)
{
    /// <summary>How far a resistor on a board may be off, as a fraction of its value (common practice).</summary>
    public const double UsualTolerance = 0.05;

    /// <summary>What it pulls to without current.</summary>
    public Bounds<Volts> Pulls => Supply is null
        ? default
        : new(new(Supply.Minimum.Value - Drop.Value), new(Supply.Nominal.Value - Drop.Value), new(Supply.Maximum.Value - Drop.Value));

    public Bounds<Ohms> Range => new(new(Resistance.Value * (1 - UsualTolerance)), Resistance, new(Resistance.Value * (1 + UsualTolerance)));
}
