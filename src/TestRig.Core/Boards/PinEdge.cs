using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>
/// How the voltage at an adapter pin changes when the test point behind it does: what bounds the time between two voltages on its way. The point itself is through its
/// edge within a known time, and the lead between it and the pin is a resistance into a capacitance.
/// </summary>
/// <param name="Low">The low level at the pin, as the converter read it, on the scale on which its reference is nominal.</param>
/// <param name="High">The high level, likewise.</param>
/// <param name="Source">From the start of the test point's edge to its end, at most.</param>
/// <param name="Settling">The time constant between test point and pin, at most.</param>
public sealed record PinEdge(Volts Low, Volts High, Duration Source, Duration Settling)
{
    /// <summary>A lead of 1 m or two, twisted with ground, and the pin (common practice).</summary>
    private const double LeadFarads = 200e-12;

    /// <summary>The common pin of a multiplexer (value from memory).</summary>
    private const double MultiplexerFarads = 25e-12;

    /// <summary>What drives a point: gates, saturated transistors and coils have some hundred ohms at most (common practice).</summary>
    private static readonly Ohms _usualSource = new(500);

    /// <summary>The output of a gate or buffer: TTL takes some 15 ns (value from memory); the rest is for what hangs at it.</summary>
    private static readonly Duration _gateEdge = Duration.FromNanoseconds(100);

    /// <summary>What a converter of ten bits at 5 V may be wrong by beyond its reference, noise included: ten steps (its sheet says two: value from memory).</summary>
    private const double ReadingError = 0.05;

    /// <summary>An adapter's own output at the end of a wire, with up to 1 kohm in it and nothing else on it.</summary>
    public static PinEdge Wire { get; } = new(new(0.2), new(4.5), _gateEdge, Constant(1_500, LeadFarads));

    /// <summary>The edge at the pin that <paramref name="point"/> leads to.</summary>
    /// <param name="stage">Whose output the point is.</param>
    /// <param name="low">The low level that was read at the point, before its divider.</param>
    /// <param name="high">The high level, likewise.</param>
    /// <returns>Null for a contact: it bounces, and has no edge.</returns>
    public static PinEdge? Of(TestPoint point, Stage stage, Level to, Volts low, Volts high)
    {
        if (stage.Part is RelayPart or SwitchPart || stage.Bounce is not null)
            return null;
        // Only a transistor that switches off leaves its point to a resistor.
        var source = stage.Part is IsolatorPart isolator && isolator.TakenAtCollector == (to == Level.High) ? isolator.Load : _usualSource;
        var resistance = point.Divider is { } divider
            ? 1 / ((1 / (divider.Upper.Value + source.Value)) + (1 / divider.Lower.Value))
            : point.Series.Value + source.Value;
        var ratio = point.Divider?.Ratio ?? 1;
        return new(
            new(low.Value * ratio),
            new(high.Value * ratio),
            // A part that takes longer for its edge than it may take from its command on is not a good one.
            stage.Part is BufferPart ? _gateEdge : stage.DelayTo(to).Latest,
            point.Through is { } through
                ? Constant(resistance + through.Multiplexer.Type.OnResistanceMaximum.Value, LeadFarads + MultiplexerFarads)
                : Constant(resistance, LeadFarads));
    }

    /// <summary>
    /// The longest time between two voltages on the pin's way to <paramref name="to"/>, both somewhere from <paramref name="least"/> to <paramref name="most"/>.
    /// </summary>
    /// <returns>Null when the levels at the pin are not clear of these voltages: then the pin may be on its way to one of them for ever.</returns>
    public Duration? Between(Level to, Volts least, Volts most)
    {
        var (low, high) = (Low.Value + ReadingError, High.Value - ReadingError);
        if (low >= least.Value || high <= most.Value)
            return null;
        // However slowly the point goes, behind the end of its edge the pin follows the exponential or is ahead of it.
        var share = to == Level.High
            ? (high - least.Value) / (high - most.Value)
            : (most.Value - low) / (least.Value - low);
        return Source + Settling.Scaled(Math.Log(share));
    }

    private static Duration Constant(double ohms, double farads) => Duration.FromSeconds(ohms * farads);
}
