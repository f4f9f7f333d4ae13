using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>What the pins of adapters take. An adapter states its own limit; a profile is checked against that of the common kind before any is attached.</summary>
public static class PinVoltage
{
    /// <summary>
    /// An adapter that runs from 5 V: the absolute maximum is its supply and 0.5 V (value from memory), and a supply that is 5 % low (common practice) leaves
    /// 4.75 V + 0.5 V.
    /// </summary>
    public static Volts FiveVoltMaximum { get; } = new(5.25);

    /// <summary>The pins of most computers, which run from 3.3 V: the same way, 3.135 V + 0.5 V (value from memory), rounded down.</summary>
    public static Volts ThreeVoltMaximum { get; } = new(3.6);
}
