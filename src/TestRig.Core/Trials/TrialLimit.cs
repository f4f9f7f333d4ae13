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

    /// <summary>The limits of a type in the socket's circuit; figures without any have none in the list.</summary>
    public static IEnumerable<TrialLimit> Of(Socket socket, IsolatorType type)
    {
        var circuit = socket.CircuitWith(type);
        yield return new(
            TrialFigure.LedForward, LeastForward.Value, type.LedForwardMaximum?.Value,
            $"{type.SourceOf("led-forward") ?? $"{type.Name}: VF"}; at least {LeastForward} (common practice)");
        yield return new(TrialFigure.TransferRatio, type.TransferRatioMinimum, type.TransferRatioMaximum, type.SourceOf("transfer-ratio") ?? $"{type.Name}: transfer ratio");
        var (on, off) = (circuit.OnRange(), circuit.OffRange());
        yield return new(TrialFigure.OnDelay, on.Earliest.ToSeconds(), on.Latest.ToSeconds(), on.Origin);
        yield return new(TrialFigure.OffDelay, off.Earliest.ToSeconds(), off.Latest.ToSeconds(), off.Origin);
        if (type.LeakageMaximum is { } leakage)
            yield return new(TrialFigure.Leakage, null, leakage.Value, type.SourceOf("leakage") ?? $"{type.Name}: ICEO");
    }

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
