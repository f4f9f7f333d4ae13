using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A command line that the adapter drives.</summary>
/// <param name="AdapterPin">The adapter's own name of the pin, e.g. "D22".</param>
/// <param name="Idle">The level at which nothing is commanded; the other level is the active one.</param>
/// <param name="Motion">True when the line can move something while the motor supply is on.</param>
/// <param name="LongestOn">The device itself refuses to leave the line active for longer.</param>
/// <param name="Rest">The shortest time between two activations.</param>
/// <param name="IdlesBy">What holds the line idle while the adapter's pin floats (after a reset), in words; null when nothing was declared.</param>
public sealed record Line(string Name, string AdapterPin, Level Idle, bool Motion, Duration LongestOn, Duration Rest, string? IdlesBy)
{
    /// <summary>Of firmware-notes/wiring.md: small enough to pull a pull-up of 4.7 kohm low, large enough for a short circuit.</summary>
    public static Ohms UsualSeries { get; } = new(220);

    /// <summary>The output stage of an adapter's pin, as a resistor (value from memory).</summary>
    public static Ohms OutputStage { get; } = new(25);

    public Level Active => Idle.Inverted();

    /// <summary>The resistor that holds the line idle, from a supply or from ground; null where the profile names none, and something else holds it.</summary>
    public PullResistor? Hold { get; init; }

    /// <summary>The highest voltage of the supply that a resistor pulls the line up to; null where none does: then only the adapter itself takes it high.</summary>
    public Volts? PulledUpTo => Hold?.Supply?.Maximum;

    /// <summary>The resistor in the line's lead, at the adapter.</summary>
    public Ohms Series { get; init; } = UsualSeries;
}
