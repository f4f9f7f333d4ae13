using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Files;

/// <summary>What the resistor in a lead has to be, by the figures of an adapter that runs from 5 V (values from memory).</summary>
internal static class LeadResistors
{
    /// <summary>Into or out of a pin: what it is specified at, and what destroys it.</summary>
    private static readonly Amperes Usual = new(0.020), Destroying = new(0.040);

    /// <summary>The strongest pull-up inside a pin, and what the pin takes for low at the lowest supply (0.3 of 4.75 V).</summary>
    private const double PullUpOhms = 20_000, PinLowVolts = 0.3 * 4.75;

    /// <summary>
    /// The lead check discharges the pin, and its resistor then bounds the current out of whatever drives the point high; and the pin's pull-up must not lift a
    /// point that is driven low, or it would look open.
    /// </summary>
    public static void CheckSense(Written<Ohms> series, ErrorList errors)
    {
        var highest = PinVoltage.FiveVoltMaximum.Value;
        var least = AtLeast(highest / Usual.Value);
        var most = AtMost(PullUpOhms * PinLowVolts / (highest - PinLowVolts));
        if (series.Value < least)
            errors.Add(series, $"with {series.Value} in the lead, the lead check could draw {Current(highest, series.Value)} from what drives the point", $"use {TestPoint.UsualSeries}, or at least {least}");
        else if (series.Value > most)
            errors.Add(series, $"behind {series.Value} the lead check could not tell a point that is driven low from an open lead", $"use {TestPoint.UsualSeries}, or at most {most}");
    }

    /// <summary>A command that is shorted to the other level must not destroy the pin that drives it.</summary>
    public static void CheckLine(Written<Ohms> series, ErrorList errors)
    {
        var highest = PinVoltage.FiveVoltMaximum.Value;
        var least = AtLeast(highest / Destroying.Value);
        if (series.Value < least)
            errors.Add(series, $"with {series.Value} in the lead, a short circuit of the line draws {Current(highest, series.Value)} from the adapter's pin, whose absolute maximum is {Destroying}", $"use {Line.UsualSeries}, or at least {least}");
    }

    /// <summary>A bound as it is written, to three digits, rounded to the side on which following it is right.</summary>
    public static Ohms AtLeast(double ohms) => Rounded(ohms, Math.Ceiling);

    /// <inheritdoc cref="AtLeast"/>
    public static Ohms AtMost(double ohms) => Rounded(ohms, Math.Floor);

    private static Ohms Rounded(double ohms, Func<double, double> round)
    {
        var step = Math.Pow(10, Math.Floor(Math.Log10(ohms)) - 2);
        return new(round(ohms / step) * step);
    }

    private static string Current(double volts, Ohms series) => series.Value == 0 ? "any current" : new Amperes(volts / series.Value).ToString();
}
