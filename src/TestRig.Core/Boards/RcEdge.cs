using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>An exponential edge: a net that a resistor, or a transistor with feedback through its own capacitance, takes from one voltage to another.</summary>
public static class RcEdge
{
    /// <summary>
    /// The time from the start of the edge until it crosses a threshold, exactly: τ ln((to − from) / (to − threshold)). Any text on circuits has it; checks in its tests:
    /// 10 to 90 % is τ ln 9.
    /// </summary>
    /// <param name="timeConstant">R × C.</param>
    /// <param name="from">The voltage at the start.</param>
    /// <param name="to">What the edge approaches.</param>
    /// <param name="threshold">Between the two; at <paramref name="from"/> the time is 0.</param>
    /// <returns>Null when the edge never gets there.</returns>
    public static Duration? Crossing(Duration timeConstant, Volts from, Volts to, Volts threshold)
    {
        var (whole, left) = (to.Value - from.Value, to.Value - threshold.Value);
        return whole == 0 || left / whole is <= 0 or > 1 ? null : timeConstant.Scaled(Math.Log(whole / left));
    }

    public static Duration TimeConstant(Ohms resistance, Farads capacitance) => Duration.FromSeconds(resistance.Value * capacitance.Value);
}
