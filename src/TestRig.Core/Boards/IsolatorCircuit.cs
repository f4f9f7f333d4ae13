using System.Globalization;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>
/// The arithmetic of a phototransistor isolator in its circuit. Levels: the LED's resistor, the transfer ratio and the load. Delays: charge control of the phototransistor,
/// whose collector–base capacitance acts (hFE + 1) times as large into the load (Miller), and whose charge beyond saturation has to decay first (storage: Ebers and Moll,
/// value from memory). An emitter output is as slow as a collector output: there the base moves by the whole swing.
/// </summary>
/// <param name="Part">The isolator with its resistor and load.</param>
/// <param name="Sink">What pulls its cathode low; null when the stage in front is not known: then 0 V.</param>
public sealed record IsolatorCircuit(IsolatorPart Part, OutputDrive? Sink)
{
    /// <summary>The earliest a part may react, as a fraction of its typical delay, where the sheet gives no minimum (common practice).</summary>
    private const double EarliestOverTypical = 0.1;

    /// <summary>A part may transfer so many times what the typical one does, where the sheet gives no maximum (common practice).</summary>
    private const double MostOverTypical = 2;

    private IsolatorType Type => Part.IsolatorType;

    /// <summary>What the stage in front leaves at the cathode, at most.</summary>
    public Volts SinkMaximum => Sink?.Volts.Maximum ?? default;

    /// <summary>
    /// (supply − forward voltage − output low of the stage in front) / resistor. Least: everything against it, the resistor 5 % high. Most: nothing at the cathode, the resistor
    /// 5 % low; the forward voltage stays typical, because sheets give no minimum.
    /// </summary>
    public Bounds<Amperes> LedCurrent
    {
        get
        {
            var (supply, resistor) = (Part.LedSupply, Part.LedResistor.Value);
            var worst = (Type.LedForwardMaximum ?? Type.LedForwardTypical).Value;
            return new(
                new(Math.Max(0, supply.Minimum.Value - worst - SinkMaximum.Value) / (resistor * (1 + PullResistor.UsualTolerance))),
                LedCurrentWith(Sink?.Volts.Typical ?? default),
                new((supply.Maximum.Value - Type.LedForwardTypical.Value) / (resistor * (1 - PullResistor.UsualTolerance))));
        }
    }

    /// <summary>The collector current that the LED asks for, whether the load takes it or not. Least with the smallest permitted transfer ratio.</summary>
    public Bounds<Amperes> Available
    {
        get
        {
            var (led, typical) = (LedCurrent, Type.TransferRatioTypical ?? Type.TransferRatioMinimum);
            return new(
                new(led.Minimum.Value * Type.TransferRatioMinimum), new(led.Typical.Value * typical), new(led.Maximum.Value * typical * MostOverTypical));
        }
    }

    /// <summary>The current that the load takes when the output is saturated, by the largest permitted saturation voltage.</summary>
    public Amperes Taken => new((Part.OutputSupply.Nominal.Value - Type.SaturationMaximum.Value) / Part.Load.Value);

    /// <summary>
    /// Current of the weakest permitted part, the rest of the circuit nominal and the sink at its worst, over <see cref="Taken"/>. Below 1 the output may not reach its level.
    /// VCE(sat) is specified at a much smaller ratio than the minimum (4N25: 4 %), so 1 is no assurance: a margin of 2 is good design (common practice).
    /// </summary>
    public double SaturationMargin => LedCurrentWith(SinkMaximum).Value * Type.TransferRatioMinimum / Taken.Value;

    /// <summary>Overdrive of a typical part: by how much it could carry more than its load takes.</summary>
    public double TypicalOverdrive => Overdrive(Available.Typical, Saturation);

    /// <summary>R × C of the output: load and Miller capacitance.</summary>
    public Duration TimeConstant => RcEdge.TimeConstant(Part.Load, Type.MillerCapacitance);

    /// <summary>Where a receiver is taken to switch: half of the supply.</summary>
    public Volts Threshold => new(Part.OutputSupply.Nominal.Value / 2);

    /// <param name="sinkLow">At the cathode.</param>
    public Amperes LedCurrentWith(Volts sinkLow) =>
        new(Math.Max(0, Part.LedSupply.Nominal.Value - Type.LedForwardTypical.Value - sinkLow.Value) / Part.LedResistor.Value);

    /// <summary>The direct-current side of the stage.</summary>
    public StageCircuit ToStage()
    {
        var (supply, typical, most) = (Part.OutputSupply, Saturation.Value, Type.SaturationMaximum.Value);
        var origin = $"{Type.SourceOf("saturation") ?? $"{Type.Name}: VCE(sat)"}, carrying LED current × transfer ratio at most";
        var led = new PullResistor(Part.LedResistor, Part.LedSupply, Type.LedForwardTypical, $"LED of {Type.Name} through its resistor");
        var load = new PullResistor(Part.Load, Part.TakenAtCollector ? supply : null, default, "load resistor of the profile");
        return Part.TakenAtCollector
            ? new(new(new(default, Saturation, Type.SaturationMaximum), default, OneWay: true, Available, origin), null, load, null, led)
            : new(
                null, new(new(new(supply.Minimum.Value - most), new(supply.Nominal.Value - typical), supply.Maximum), default, OneWay: true, Available, origin), load, null, led);
    }

    /// <summary>
    /// From the LED's current to the output half-way: t0 + τ ln(m / (m − x)), m the overdrive and x the way to the threshold over the whole swing. Null when the output never
    /// gets there.
    /// </summary>
    /// <param name="current">The collector current that the LED asks for.</param>
    public Duration? OnDelay(Amperes current)
    {
        var m = Overdrive(current, Saturation);
        return RcEdge.Crossing(TimeConstant, default, new(m), new(Way)) is { } edge ? Type.OnDelay.Typical + edge : null;
    }

    /// <summary>From the end of the LED's current to the output half-way: t0 + ts ln(m) + τ ln(min(m, 1) / x). Null when the output was never beyond the threshold.</summary>
    /// <param name="current">The collector current that the LED asked for.</param>
    public Duration? OffDelay(Amperes current)
    {
        var m = Overdrive(current, Saturation);
        return RcEdge.Crossing(TimeConstant, new(Math.Min(m, 1)), default, new(Way)) is { } edge
            ? Type.OffDelay.Typical + Type.StorageConstant.Scaled(Math.Log(Math.Max(m, 1))) + edge
            : null;
    }

    /// <summary>The window of switching on. A permitted part with the smallest transfer ratio is inside it, as long as it gets to the threshold at all.</summary>
    public DelayRange OnRange()
    {
        var (sheet, edge) = (Type.OnDelay, OnDelay(Available.Typical) - Type.OnDelay.Typical);
        if (edge is not { } load)
            return Unreachable(sheet, "on delay");
        var typical = sheet.Typical + load;
        var weakest = OnDelay(Available.Minimum);
        var latest = Latest(sheet, typical);
        var words = weakest is { } slow && slow > latest ? $", or {slow} with the smallest transfer ratio" : "";
        return new(
            sheet.Minimum ?? typical.Scaled(EarliestOverTypical), Duration.Max(latest, weakest ?? latest),
            string.Create(
                CultureInfo.InvariantCulture,
                $"on delay {sheet.Typical} + {Tau} × ln({TypicalOverdrive:0.0} / ({TypicalOverdrive:0.0} − {Way:0.00})) = {typical} typical, ×{EarliestOverTypical}..×{DelayLimits.LatestOverTypical}{words} ({Sources(sheet)})"));
    }

    /// <summary>The window of switching off, which a saturated output does slowly.</summary>
    public DelayRange OffRange()
    {
        var (sheet, delay) = (Type.OffDelay, OffDelay(Available.Typical));
        if (delay is not { } typical)
            return Unreachable(sheet, "off delay");
        var latest = Latest(sheet, typical);
        var storage = TypicalOverdrive > 1 ? string.Create(CultureInfo.InvariantCulture, $" + {Type.StorageConstant} × ln {TypicalOverdrive:0.0}") : "";
        return new(
            sheet.Minimum ?? typical.Scaled(EarliestOverTypical), latest,
            string.Create(
                CultureInfo.InvariantCulture,
                $"off delay {sheet.Typical}{storage} + {Tau} × ln({Math.Min(TypicalOverdrive, 1):0.##} / {Way:0.00}) = {typical} typical, ×{EarliestOverTypical}..×{DelayLimits.LatestOverTypical} ({Sources(sheet)})"));
    }

    /// <summary>The latest that a part may switch on that has this collector current; null where that never takes the output half-way.</summary>
    /// <param name="current">As measured, of this very part.</param>
    public Duration? LatestOn(Amperes current) => OnDelay(current) is { } delay ? Latest(Type.OnDelay, delay) : null;

    /// <summary>The same of switching off.</summary>
    /// <inheritdoc cref="LatestOn"/>
    public Duration? LatestOff(Amperes current) => OffDelay(current) is { } delay ? Latest(Type.OffDelay, delay) : null;

    /// <summary>What the sheet gives, at most, and what the load makes longer, each with its margin.</summary>
    private static Duration Latest(DelayLimits sheet, Duration delay) =>
        (sheet.Maximum ?? (sheet.Typical * DelayLimits.LatestOverTypical)) + ((delay - sheet.Typical) * DelayLimits.LatestOverTypical);

    /// <summary>What the level of the lit output says of the transfer ratio.</summary>
    /// <param name="lit">Measured at the output while the LED is lit, against the ground of its side; 0 to the supply's maximum.</param>
    /// <param name="uncertainty">Standard uncertainty of it.</param>
    /// <param name="outputSupply">As measured at the same time; null to take the nominal one with its tolerance.</param>
    /// <exception cref="ArgumentOutOfRangeException">The level is below 0 or above the supply's maximum.</exception>
    public TransferRatioEstimate Estimate(Volts lit, Volts uncertainty, Volts? outputSupply = null)
    {
        if (lit.Value < 0 || lit > Part.OutputSupply.Maximum)
            throw new ArgumentOutOfRangeException(nameof(lit), lit, $"the output of {Part.Name} is between 0 V and {Part.OutputSupply.Maximum}");
        var supply = outputSupply ?? Part.OutputSupply.Nominal;
        var across = Part.TakenAtCollector ? Math.Max(0, supply.Value - lit.Value) : lit.Value;
        var led = LedCurrent;
        var ratio = across / Part.Load.Value / led.Typical.Value;
        // Only a collector's load hangs from the supply. Tolerances are uniform (JCGM 100, 4.3.7): half-width / √3.
        var ofSupply = Part.TakenAtCollector && outputSupply is null ? supply.Value * Part.OutputSupply.Tolerance / Math.Sqrt(3) : 0;
        var ofDrop = across == 0 ? 0 : Math.Sqrt((uncertainty.Value * uncertainty.Value) + (ofSupply * ofSupply)) / across;
        var ofLoad = PullResistor.UsualTolerance / Math.Sqrt(3);
        var ofLed = (led.Maximum.Value - led.Minimum.Value) / 2 / Math.Sqrt(3) / led.Typical.Value;
        var saturated = supply.Value - across <= Type.SaturationMaximum.Value;
        return new(ratio, ratio * Math.Sqrt((ofDrop * ofDrop) + (ofLoad * ofLoad) + (ofLed * ofLed)), saturated);
    }

    private Volts Saturation => Type.SaturationTypical ?? Type.SaturationMaximum;

    private double Swing => Part.OutputSupply.Nominal.Value - Saturation.Value;

    /// <summary>From the dark output to the threshold, as a fraction of the swing.</summary>
    private double Way => Threshold.Value / Swing;

    private string Tau => TimeConstant.ToString();

    private double Overdrive(Amperes current, Volts saturation) =>
        current.Value / ((Part.OutputSupply.Nominal.Value - saturation.Value) / Part.Load.Value);

    private string Sources(DelayLimits sheet) => string.Create(
        CultureInfo.InvariantCulture,
        $"{sheet.Source}; ({Type.CurrentGain:0} + 1) × {Type.CollectorBaseCapacitance} × {Part.Load} = {Tau}; factors: common practice");

    private DelayRange Unreachable(DelayLimits sheet, string what) => sheet.ToRange(what) with
    {
        Origin = $"{what} of the sheet's small load ({sheet.Source}): a typical part does not take this output to {Threshold}, so the delay at its load cannot be told",
    };
}
