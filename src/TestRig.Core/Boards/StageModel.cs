using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>Derives what a section does — polarity, delay windows, levels — from its part's data and the circuit around it.</summary>
public static class StageModel
{
    /// <summary>The earliest a part may react, as a fraction of its typical delay, where the sheet gives no minimum (common practice).</summary>
    private const double EarliestOverTypical = 0.1;

    /// <param name="section">A section of <see cref="BufferPart.BufferType"/>.</param>
    public static Stage Of(BufferPart part, BufferSection section, TestPoint? output) => new(
        $"{part.Name} {section.Input}>{section.Output}",
        part,
        $"{part.Name}.{section.Output}",
        output,
        part.BufferType.Inverting,
        part.BufferType.RiseDelay.ToRange("tPLH"),
        part.BufferType.FallDelay.ToRange("tPHL"),
        part.BufferType.InputLimits);

    public static Stage Of(IsolatorPart part, TestPoint? output)
    {
        var type = part.IsolatorType;
        var outputPin = part.TakenAtCollector ? type.CollectorPin : type.EmitterPin;
        var on = WithLoad(type.OnDelay, type.OnDelayPerOhm, part.Load, "on delay");
        var off = WithLoad(type.OffDelay, type.OffDelayPerOhm, part.Load, "off delay");
        // The stage in front sinks the LED: low input, lit. Lit means a low collector or a high emitter.
        return new(
            $"{part.Name} {type.CathodePin}>{outputPin}",
            part,
            $"{part.Name}.{outputPin}",
            output,
            Inverting: !part.TakenAtCollector,
            Rise: part.TakenAtCollector ? off : on,
            Fall: part.TakenAtCollector ? on : off,
            LevelLimits.OfSupply(part.OutputSupply.Nominal));
    }

    public static Stage Of(DriverPart part, TestPoint? output)
    {
        var on = part.DriverType.OnDelay.ToRange("on delay");
        var off = part.DriverType.OffDelay.ToRange("off delay");
        return new(
            part.Name,
            part,
            $"{part.Name}.C",
            output,
            Inverting: true,
            Rise: part.DriverType.HighSide ? on : off,
            Fall: part.DriverType.HighSide ? off : on,
            LevelLimits.OfSupply(part.Supply.Nominal));
    }

    /// <summary>The driver in front takes the coil's lower end low: the contact closes, and its net goes low too.</summary>
    public static Stage Of(RelayPart part, TestPoint? output) => new(
        part.Name,
        part,
        $"{part.Name}.NO",
        output,
        Inverting: false,
        Rise: part.RelayType.ReleaseDelay.ToRange("release time"),
        Fall: part.RelayType.OperateDelay.ToRange("operate time"),
        LevelLimits.OfSupply(part.ContactSupply.Nominal))
    {
        Bounce = part.RelayType.Bounce,
    };

    /// <summary>
    /// How low the stage in front of stage <paramref name="index"/> pulls: its VOL maximum when it is a buffer; null when its data do not tell.
    /// </summary>
    public static Volts? SinkLow(IReadOnlyList<Stage> stages, int index) =>
        index > 0 && stages[index - 1].Part is BufferPart buffer ? buffer.BufferType.OutputLowMaximum : null;

    /// <summary>Current through the LED: (supply − forward voltage − output low of the stage in front) / resistor.</summary>
    public static Amperes LedCurrent(IsolatorPart part, Volts sinkLow) =>
        new((part.LedSupply.Nominal.Value - part.IsolatorType.LedForwardTypical.Value - sinkLow.Value) / part.LedResistor.Value);

    /// <summary>
    /// Saturation margin: the collector current that the weakest permitted part delivers, over the current that the load takes at saturation.
    /// Below 1 the output may not reach its level.
    /// </summary>
    public static double SaturationMargin(IsolatorPart part, Volts sinkLow)
    {
        var available = LedCurrent(part, sinkLow).Value * part.IsolatorType.TransferRatioMinimum;
        var taken = (part.OutputSupply.Nominal.Value - part.IsolatorType.SaturationMaximum.Value) / part.Load.Value;
        return available / taken;
    }

    private static DelayRange WithLoad(DelayLimits limits, Duration perOhm, Ohms load, string what)
    {
        var typical = limits.Typical + perOhm.Scaled(load.Value);
        return new(
            limits.Minimum ?? typical.Scaled(EarliestOverTypical),
            limits.Maximum is { } maximum ? maximum + perOhm.Scaled(load.Value) : typical * DelayLimits.LatestOverTypical,
            $"{what} {limits.Typical} + {perOhm}/ohm × {load} = {typical} typical, ×{EarliestOverTypical}..×{DelayLimits.LatestOverTypical} ({limits.Source}; load slope and factors: common practice)");
    }
}
