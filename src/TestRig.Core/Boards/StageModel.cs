using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>Derives what a section does — polarity, delay windows, levels — from its part's data and the circuit around it.</summary>
public static class StageModel
{
    /// <summary>Of a net with its lead and what is at both ends (common practice): an open collector lets its pull-up charge it.</summary>
    public static readonly Farads NetCapacitance = new(100e-12);

    /// <summary>Across a conducting transistor whose data do not tell (common practice).</summary>
    private static readonly Bounds<Volts> UsualSaturation = new(new(0), new(0.2), new(0.5));

    /// <summary>What a closed contact has at most, where its data do not tell (common practice).</summary>
    private static readonly Ohms UsualContact = new(0.1);

    /// <summary>Without a typical VOH: so far from the minimum towards the supply (74LS: 3.4 V for 2.4 V; common practice).</summary>
    private const double TypicalHighShare = 0.4;

    /// <param name="section">A section of <see cref="BufferPart.BufferType"/>.</param>
    public static Stage Of(BufferPart part, BufferSection section, TestPoint? output) => new(
        $"{part.Name} {section.Input}>{section.Output}",
        part,
        $"{part.Name}.{section.Output}",
        output,
        part.BufferType.Inverting,
        part.BufferType.RiseDelay.ToRange("tPLH"),
        part.BufferType.FallDelay.ToRange("tPHL"),
        part.BufferType.InputLimits)
    {
        Circuit = Circuit(part),
    };

    /// <param name="part">The isolator in its circuit.</param>
    /// <param name="output">The test point at its output.</param>
    /// <param name="sink">What pulls its cathode low; null when the stage in front is not known.</param>
    public static Stage Of(IsolatorPart part, TestPoint? output, OutputDrive? sink = null)
    {
        var type = part.IsolatorType;
        var outputPin = part.TakenAtCollector ? type.CollectorPin : type.EmitterPin;
        var circuit = new IsolatorCircuit(part, sink);
        var (on, off) = (circuit.OnRange(), circuit.OffRange());
        // The stage in front sinks the LED: low input, lit. Lit means a low collector or a high emitter.
        return new(
            $"{part.Name} {type.CathodePin}>{outputPin}",
            part,
            $"{part.Name}.{outputPin}",
            output,
            Inverting: !part.TakenAtCollector,
            Rise: part.TakenAtCollector ? off : on,
            Fall: part.TakenAtCollector ? on : off,
            LevelLimits.OfSupply(part.OutputSupply.Nominal))
        {
            Circuit = circuit.ToStage(),
        };
    }

    /// <summary>What a line of the adapter leaves at the cathode that it pulls low: the LED's current lifts it, through the resistor in the lead and the pin's own.</summary>
    public static OutputDrive SinkOf(IsolatorPart part, Line line)
    {
        var through = line.Series.Value + Line.OutputStage.Value;
        Volts At(Volts supply) => new(Math.Max(0, supply.Value - part.IsolatorType.LedForwardTypical.Value) * through / (through + part.LedResistor.Value));
        return new(new(At(part.LedSupply.Minimum), At(part.LedSupply.Nominal), At(part.LedSupply.Maximum)), new(through), OneWay: false, null, $"line {line.Name} through {line.Series}");
    }

    /// <summary>A single transistor.</summary>
    public static Stage Of(DriverPart part, TestPoint? output) => Of(part, part.Name, $"{part.Name}.C", output);

    /// <param name="section">A section of <see cref="DriverPart.DriverType"/>.</param>
    public static Stage Of(DriverPart part, DriverSection section, TestPoint? output) =>
        Of(part, $"{part.Name} {section.Input}>{section.Output}", $"{part.Name}.{section.Output}", output);

    private static Stage Of(DriverPart part, string name, string outputName, TestPoint? output)
    {
        var type = part.DriverType;
        var on = type.OnDelay.ToRange("on delay");
        var off = type.OffDelay.ToRange("off delay");
        var circuit = Circuit(part);
        if (!type.HighSide && part.Load is { } load)
            off += Charging(part, load, circuit.WhenLow!.Volts.Typical);
        return new(
            name,
            part,
            outputName,
            output,
            type.Inverting,
            Rise: type.HighSide ? on : off,
            Fall: type.HighSide ? off : on,
            LevelLimits.OfSupply(part.Supply.Nominal))
        {
            Circuit = circuit,
        };
    }

    /// <summary>What a pull-up takes to charge its net to half of the supply, ×0..×2.</summary>
    private static DelayRange Charging(DriverPart part, Ohms load, Volts low)
    {
        var constant = RcEdge.TimeConstant(load, NetCapacitance);
        var half = new Volts(part.Supply.Nominal.Value / 2);
        var typical = RcEdge.Crossing(constant, low, part.Supply.Nominal, half) ?? Duration.Zero;
        return new(
            Duration.Zero, typical * DelayLimits.LatestOverTypical,
            $"{load} × {NetCapacitance} charging its net to {half}: {typical} typical ×{DelayLimits.LatestOverTypical} (net and factor: common practice)");
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
        Circuit = new(
            new(default, part.RelayType.ContactResistanceMaximum ?? UsualContact, OneWay: false, null, $"closed contact of a {part.RelayType.Name}"), null,
            part.PullUp is { } pullUp ? new(pullUp, part.ContactSupply, default, "pull-up of the profile") : null, null, null),
    };

    /// <summary>A transistor that pulls the output of another stage low: the net goes high by what pulls it up, as late as the other stage may let it go.</summary>
    /// <param name="pulled">The stage whose output net it is.</param>
    public static Stage Of(PullTransistor part, Stage pulled)
    {
        var type = (DriverType)part.Type;
        var (on, off) = (type.OnDelay.ToRange("on delay"), type.OffDelay.ToRange("off delay"));
        return new(
            $"{part.Name} G>D", part, pulled.OutputName, pulled.Output, Inverting: true,
            Rise: off + (pulled.Rise with { Earliest = Duration.Zero }),
            Fall: on,
            pulled.Levels)
        {
            Circuit = new(new(UsualSaturation, part.Series, OneWay: true, null, "saturated transistor: common practice"), null, pulled.Circuit.OutputPull, null, null),
        };
    }

    /// <summary>What pulls the input of stage <paramref name="index"/> low; null when it is the first, or when what is in front never drives low.</summary>
    public static OutputDrive? SinkOf(IReadOnlyList<Stage> stages, int index) => index > 0 ? stages[index - 1].Circuit.WhenLow : null;

    /// <summary>The same of a channel, whose first isolator the line itself sinks.</summary>
    public static OutputDrive? SinkOf(Channel channel, int index) =>
        index == 0 && channel.Stages[0].Part is IsolatorPart first ? SinkOf(first, channel.Line) : SinkOf(channel.Stages, index);

    private static StageCircuit Circuit(BufferPart part)
    {
        var type = part.BufferType;
        var high = type.OutputHighTypical ?? new(type.OutputHighMinimum.Value + (TypicalHighShare * Math.Max(0, part.Supply.Nominal.Value - type.OutputHighMinimum.Value)));
        // Into a short circuit the whole voltage is across its own resistance.
        var source = type.ShortCircuitCurrent is { } shorted ? new Ohms(high.Value / ((shorted.Minimum.Value + shorted.Maximum.Value) / 2)) : default;
        return new(
            new(new(default, type.OutputLowTypical ?? type.OutputLowMaximum, type.OutputLowMaximum), type.OutputLowResistance ?? default, OneWay: false, null, type.SourceOf("output-low") ?? $"{type.Name}: VOL"),
            new(new(type.OutputHighMinimum, high, part.Supply.Maximum), source, OneWay: true, null, type.SourceOf("output-high") ?? $"{type.Name}: VOH"),
            null, type.Input, null);
    }

    private static StageCircuit Circuit(DriverPart part)
    {
        var (type, supply) = (part.DriverType, part.Supply);
        var across = type.SaturationMaximum is { } most ? new Bounds<Volts>(default, type.SaturationTypical ?? most, most) : UsualSaturation;
        var origin = type.SaturationMaximum is null ? "saturated transistor: common practice" : type.SourceOf("saturation") ?? $"{type.Name}: saturation";
        var load = part.Load is { } ohms ? new PullResistor(ohms, type.HighSide ? null : supply, default, "load of the profile") : null;
        return type.HighSide
            ? new(
                null,
                new(new(new(supply.Minimum.Value - across.Maximum.Value), new(supply.Nominal.Value - across.Typical.Value), supply.Maximum), default, OneWay: true, null, origin),
                load, type.Input, null)
            : new(new(across, default, OneWay: true, null, origin), null, load, type.Input, null);
    }
}
