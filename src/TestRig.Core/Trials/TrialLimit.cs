using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Trials;

/// <summary>What a type of isolator permits of one figure, in the unit of the figure.</summary>
/// <param name="Minimum">Null where that side is open.</param>
/// <param name="Maximum">Null where that side is open.</param>
/// <param name="Origin">Where it comes from.</param>
public sealed record TrialLimit(TrialFigure Figure, double? Minimum, double? Maximum, string Origin)
{
    /// <summary>An LED current further than this share from that of the sheet measures another transfer ratio than the sheet's (common practice: the ratio's slope is then felt).</summary>
    private const double CurrentShare = 0.2;

    /// <summary>Below it no infrared LED of gallium arsenide conducts milliamperes: a silicon junction or a short circuit does (common practice).</summary>
    public static Volts LeastForward { get; } = new(0.9);

    /// <summary>
    /// The limits of a type in the socket's circuit; figures without any have none in the list. A delay at a load depends on the current that there is for it, so the limits of delays are those of a part with
    /// this one's own: a weak part is judged for being weak once, by its transfer ratio.
    /// </summary>
    /// <param name="collector">Of the part; that of a typical one for limits before anything was measured.</param>
    public static IEnumerable<TrialLimit> Of(Socket socket, IsolatorType type, Amperes? collector = null)
    {
        var circuit = socket.CircuitWith(type);
        var current = collector ?? circuit.Available.Typical;
        yield return new(
            TrialFigure.LedForward, LeastForward.Value, type.LedForwardMaximum?.Value,
            $"{type.SourceOf("led-forward") ?? $"{type.Name}: VF"}; at least {LeastForward} (common practice)");
        yield return new(TrialFigure.TransferRatio, type.TransferRatioMinimum, type.TransferRatioMaximum, type.SourceOf("transfer-ratio") ?? $"{type.Name}: transfer ratio");
        // A part that is faster than its type is no worse for it.
        if (circuit.LatestOn(current) is { } on)
            yield return new(TrialFigure.OnDelay, null, on.ToSeconds(), OriginOf(type, "on-delay", socket, current));
        if (circuit.LatestOff(current) is { } off)
            yield return new(TrialFigure.OffDelay, null, off.ToSeconds(), OriginOf(type, "off-delay", socket, current));
        if (type.LeakageMaximum is { } leakage)
            yield return new(TrialFigure.Leakage, null, leakage.Value, type.SourceOf("leakage") ?? $"{type.Name}: ICEO");
    }

    private static string OriginOf(IsolatorType type, string figure, Socket socket, Amperes current) =>
        $"{type.SourceOf(figure) ?? $"{type.Name}: {figure}"}; at {socket.Delay.Resistance} and a collector current of {current} (charge control; sheet without maximum and load: ×{DelayLimits.LatestOverTypical}, common practice)";

    /// <summary>True where the LED current is near enough to the one that the sheet's transfer ratio is for, as far as that is known.</summary>
    public static bool IsAtTestCurrent(IsolatorType type, Amperes led) => type.TestCurrent is not { } sheet || Math.Abs(led.Value - sheet.Value) <= CurrentShare * sheet.Value;

    /// <summary>Guard-banded by the expanded uncertainty (JCGM 106:2012 8.3): conforms or violates only where the whole interval lies on one side.</summary>
    /// <param name="value">Null where nothing was measured.</param>
    public TrialVerdict Judge(Estimate? value)
    {
        if (value is not var (best, _, atLeast))
            return TrialVerdict.NotResolved;
        var (low, high) = (best - value.Expanded, atLeast ? double.PositiveInfinity : best + value.Expanded);
        if (high < Minimum || low > Maximum)
            return TrialVerdict.Violates;
        return (Minimum is null || low >= Minimum) && (Maximum is null || high <= Maximum) ? TrialVerdict.Conforms : TrialVerdict.NotResolved;
    }
}
