using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Core.Trials;

/// <summary>
/// Currents and voltages of an isolator in the socket, by Ohm's law over the socket's resistors. Uncertainties join by the law of propagation (JCGM 100:2008 5.1.2): of each reading what it does not
/// share with the others, the tolerance of each resistor (uniform), and the converter's reference, which all readings share: it scales them all alike, and leaves the transfer ratio.
/// </summary>
/// <param name="LedCurrent">In amperes.</param>
/// <param name="LedForward">In volts; null where no current flows.</param>
/// <param name="TransferRatio">Null where no current flows.</param>
/// <param name="Leakage">In amperes.</param>
public sealed record SocketFigures(Estimate LedCurrent, Estimate? LedForward, Estimate? TransferRatio, Estimate Leakage)
{
    /// <summary>Less is no lit LED: it is what converter and pins make of nothing. Well above their uncertainty over the resistors in use.</summary>
    private const double LeastLedAmperes = 0.5e-3;

    /// <summary>How far the leakage of the adapter's own pins may have gone since it was measured with the socket empty, as a share of it: it doubles every 10 K (common practice).</summary>
    private const double PinDrift = 0.2;

    public bool IsLit => LedCurrent.Value > LeastLedAmperes;

    /// <param name="part">With an isolator in the socket.</param>
    /// <param name="empty">The emitter's tap, dark, with nothing in the socket: what the adapter's own pins leak.</param>
    /// <param name="type">Whose saturation tells where the load takes less than the isolator offers.</param>
    public static SocketFigures Of(Socket socket, SocketReadings part, LevelReading empty, IsolatorType type)
    {
        var (lit, resistor) = (part.Lit, socket.Tolerance / Math.Sqrt(3));
        // Over the resistor in the line's lead, which carries what holds the line idle, too.
        var sink = Drop(lit.Cathode, lit.Sink);
        var hold = HoldOf(socket.Channel.Line, lit.Cathode.Mean);
        var led = (sink.Volts / socket.Channel.Line.Series.Value) - hold;
        var ofSink = Relative(Root(sink.Own / socket.Channel.Line.Series.Value, hold * PullResistor.UsualTolerance / Math.Sqrt(3)), led);
        var current = new Estimate(led, Math.Abs(led) * Root(ofSink, resistor, Relative(sink.Shared, sink.Volts)));
        var figures = new SocketFigures(current, null, null, LeakageOf(socket, part.Dark, empty, type));
        if (!figures.IsLit)
            return figures;

        var forward = Drop(lit.Anode, lit.Cathode);
        var load = Drop(lit.Emitter, lit.RatioLow);
        var bleeder = lit.Emitter.Mean.Value / socket.Bleeder.Value;
        var collector = (load.Volts / socket.Ratio.Resistance.Value) + bleeder;
        var ratio = collector / led;
        // The bleeder takes a thousandth of the current; what is not known of it is less than that of the load.
        var ofLoad = Root(load.Own / socket.Ratio.Resistance.Value, Math.Abs(load.Volts) / socket.Ratio.Resistance.Value * resistor) / led;
        var left = socket.Part.OutputSupply.Minimum.Value - lit.Emitter.Mean.Value - lit.Emitter.ExpandedUncertainty.Value;
        return figures with
        {
            LedForward = new(forward.Volts, Root(forward.Own, forward.Shared)),
            TransferRatio = new(ratio, Root(ofLoad, ratio * ofSink, ratio * resistor), AtLeast: left <= type.SaturationMaximum.Value),
        };
    }

    /// <summary>What the resistor that holds the line idle sends through the lead while the line is low.</summary>
    private static double HoldOf(Line line, Volts cathode) =>
        line.Hold is { Supply: { } supply, Resistance: var resistance } ? Math.Max(0, supply.Nominal.Value - cathode.Value) / resistance.Value : 0;

    private static Estimate LeakageOf(Socket socket, LevelReading dark, LevelReading empty, IsolatorType type)
    {
        var over = Drop(dark, empty);
        var ohms = socket.Bleeder.Value;
        // Uniform, as the resistor's tolerance.
        var drift = empty.Mean.Value * PinDrift / Math.Sqrt(3);
        var limited = socket.Part.OutputSupply.Minimum.Value - dark.Mean.Value <= type.SaturationMaximum.Value;
        return new(over.Volts / ohms, Root(over.Own, over.Shared, drift, over.Volts * socket.Tolerance / Math.Sqrt(3)) / ohms, limited);
    }

    private static (double Volts, double Own, double Shared) Drop(LevelReading from, LevelReading to)
    {
        var volts = from.Mean.Value - to.Mean.Value;
        // The reference scales both readings by the same factor, and so their difference.
        var shared = from.Mean.Value == 0 ? 0 : Math.Abs(volts * from.SharedUncertainty.Value / from.Mean.Value);
        return (volts, Root(from.OwnUncertainty.Value, to.OwnUncertainty.Value), shared);
    }

    private static double Relative(double uncertainty, double volts) => volts == 0 ? 0 : Math.Abs(uncertainty / volts);

    private static double Root(params ReadOnlySpan<double> parts)
    {
        var squares = 0.0;
        foreach (var part in parts)
            squares += part * part;
        return Math.Sqrt(squares);
    }
}
