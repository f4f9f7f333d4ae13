using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>What is expected of a board and where each number comes from, as plain rows to print.</summary>
public sealed record ProfileExplanation(ImmutableArray<ChannelExplanation> Channels)
{
    public static ProfileExplanation Of(Board board) => new([.. board.Channels.Select(channel => Explain(board, channel))]);

    private static ChannelExplanation Explain(Board board, Channel channel)
    {
        var points = ImmutableArray.CreateBuilder<PointExplanation>();
        points.Add(new(
            channel.DrivenAt.Name, null, channel.DrivenAt.AdapterPin, channel.Line.Idle, channel.Line.Active, Inverted: false, null, null, null,
            [.. AtAdapter(channel.DrivenAt), $"held {channel.Line.Idle.Word()} while the adapter's pin floats by {channel.Line.IdlesBy}"]));
        var (activeEarliest, activeLatest) = (Duration.Zero, Duration.Zero);
        var (idleEarliest, idleLatest) = (Duration.Zero, Duration.Zero);
        for (var i = 0; i < channel.Stages.Length; i++)
        {
            var stage = channel.Stages[i];
            var active = channel.LevelAfter(i, channel.Line.Active);
            var toActive = stage.DelayTo(active);
            var toIdle = stage.DelayTo(active.Inverted());
            activeEarliest += toActive.Earliest;
            activeLatest += toActive.Latest;
            idleEarliest += toIdle.Earliest;
            idleLatest += toIdle.Latest;
            points.Add(new(
                stage.OutputName,
                stage.Name,
                stage.Output?.LeadEnd,
                active.Inverted(),
                active,
                active != channel.Line.Active,
                new(active, toActive, activeEarliest, activeLatest),
                new(active.Inverted(), toIdle, idleEarliest, idleLatest),
                stage.Levels,
                [.. Circuit(channel, i), .. stage.Output is { } output ? AtAdapter(output) : []]));
        }
        return new(channel, points.ToImmutable(), [.. channel.Feedback.Select(feedback => Explain(board, feedback))]);
    }

    /// <summary>The circuit computation behind a stage, with its arithmetic.</summary>
    private static IEnumerable<string> Circuit(Channel channel, int index)
    {
        var stage = channel.Stages[index];
        if (stage.Bounce is { } bounce)
            yield return string.Create(CultureInfo.InvariantCulture, $"at most {bounce.Most} bounces each time, steady within {bounce.Within} ({stage.Part.Type.Name})");
        foreach (var sentence in stage.Part is BufferPart buffer ? Pins(buffer, stage) : [])
            yield return sentence;
        if (stage.Part is IsolatorPart isolator)
        {
            foreach (var sentence in Isolator(new(isolator, StageModel.SinkOf(channel, index)), index > 0 ? channel.Stages[index - 1] : null, stage.Levels))
                yield return sentence;
        }
        foreach (var level in new[] { Level.Low, Level.High })
        {
            if (stage.Circuit.OutputAt(level) is { } volts)
                yield return $"{level.Word()}: {volts.Typical.ToHundredths()} typical, {volts.Minimum.ToHundredths()} to {volts.Maximum.ToHundredths()} [{Origin(stage.Circuit, level)}]";
        }
    }

    private static string Origin(StageCircuit circuit, Level level) => string.Join("; ", new[]
    {
        circuit.When(level)?.Origin,
        circuit.OutputPull is { } pull ? $"{pull.Resistance} ±{PullResistor.UsualTolerance * 100:0} % to {pull.Supply?.Name ?? TiedPin.Ground}: {pull.Origin}" : null,
    }.OfType<string>());

    /// <summary>The pins of a section that no command passes.</summary>
    private static IEnumerable<string> Pins(BufferPart part, Stage stage)
    {
        var section = part.BufferType.Sections.First(known => stage.Name == $"{part.Name} {known.Input}>{known.Output}");
        if (section.Enable is { } enable)
        {
            yield return part.Tied.FirstOrDefault(tied => tied.Pin == enable) is { } tied
                ? $"enabled by pin {enable} {BufferSection.EnabledAt.Word()}, which is at {tied.To}"
                : $"enabled by pin {enable} {BufferSection.EnabledAt.Word()} (taken to be tied so: the profile does not mention it)";
        }
        foreach (var other in section.OtherInputs)
        {
            yield return part.Tied.FirstOrDefault(tied => tied.Pin == other) is { } tied
                ? $"lets the command through while pin {other} is {section.PassesAt.Word()}, which is at {tied.To}"
                : $"lets the command through while pin {other} is {section.PassesAt.Word()}";
        }
    }

    private static IEnumerable<string> Isolator(IsolatorCircuit circuit, Stage? front, LevelLimits levels)
    {
        var part = circuit.Part;
        var type = part.IsolatorType;
        var sink = circuit.SinkMaximum;
        var current = circuit.LedCurrentWith(sink);
        var assumption = circuit.Sink is null ? " (output low of the stage in front not known: taken as 0 V)" : "";
        var sinkSource = front?.Part.Type is { } of ? Source(of, "output-low", "saturation") : circuit.Sink is { } line ? $" [{line.Origin}]" : "";
        yield return string.Create(
            CultureInfo.InvariantCulture,
            $"LED current ({part.LedSupply.Nominal.Value:0.##} − {type.LedForwardTypical.Value:0.##} − {sink.Value:0.##}) V / {part.LedResistor} = {current}, permitted {type.LedCurrentMaximum}{assumption}{Source(type, "led-forward")}{sinkSource}");
        var led = circuit.LedCurrent;
        yield return $"LED current with every tolerance: {led.Minimum} to {led.Maximum} (supply ±{part.LedSupply.Tolerance * 100:0.##} %, forward voltage up to {type.LedForwardMaximum ?? type.LedForwardTypical}, resistor ±{PullResistor.UsualTolerance * 100:0} %: common practice)";
        var margin = circuit.SaturationMargin;
        var warning = margin < 1 ? ": below 1, the weakest permitted part may not reach its level" : "";
        yield return string.Create(
            CultureInfo.InvariantCulture,
            $"saturation margin {current} × {type.TransferRatioMinimum * 100:0.##} % / (({part.OutputSupply.Nominal.Value:0.##} − {type.SaturationMaximum.Value:0.##}) V / {part.Load}) = {new Amperes(current.Value * type.TransferRatioMinimum)} / {circuit.Taken} = {margin:0.0}{warning}{Source(type, "transfer-ratio")}{Source(type, "saturation")}");
        yield return string.Create(CultureInfo.InvariantCulture, $"a typical part could carry {circuit.Available.Typical}, {circuit.TypicalOverdrive:0.0} times what the load takes");
        if (led.Typical.Value > 0)
        {
            var limit = part.TakenAtCollector ? levels.LowMaximum : levels.HighMinimum;
            var weakest = circuit.Estimate(limit, default);
            yield return string.Create(
                CultureInfo.InvariantCulture,
                $"its lit level is a good one down to a transfer ratio of {weakest.Ratio * 100:0.0} % ± {weakest.StandardUncertainty * 200:0.0} % (k = 2): {limit} would mean {(part.TakenAtCollector ? $"({part.OutputSupply.Nominal} − {limit})" : limit.ToString())} / {part.Load} / {led.Typical}; the sheet permits {type.TransferRatioMinimum * 100:0.##} % and more");
            var test = LedAgeing.PublishedTest;
            var hours = LedAgeing.HoursLike(test, led.Typical, ServiceCelsius);
            yield return string.Create(
                CultureInfo.InvariantCulture,
                $"LED ageing: ({test.Current} / {led.Typical})² × exp({LedAgeing.ActivationEnergy} eV / k × (1 / {LedAgeing.ZeroCelsius + ServiceCelsius:0} K − 1 / {LedAgeing.ZeroCelsius + test.Celsius:0} K)) = {hours / test.Hours:0.0}: {hours:0} h lit at {ServiceCelsius:0} °C age it like {test.Hours:0} h of the published test, after which {test.RatioLeft * 100:0.0} % of its transfer ratio were left [{test.Source}; an older LED ages faster: common practice]");
        }
    }

    /// <summary>Inside a cabinet of its time, °C (common practice).</summary>
    private const double ServiceCelsius = 60;

    /// <summary>" [sheet]" for the first of these figures that the part type has; nothing when it has none.</summary>
    private static string Source(PartType type, params string[] names) =>
        names.Select(type.SourceOf).FirstOrDefault(source => source is not null) is { } found ? $" [{found}]" : "";

    private static IEnumerable<string> AtAdapter(TestPoint point)
    {
        if (point is { Highest: { } highest, HighestAtAdapter: { } reached, LeadEnd: { } pin })
        {
            yield return point.Divider is { } divider
                ? string.Create(
                    CultureInfo.InvariantCulture,
                    $"at most {highest} × {divider.Lower} / ({divider.Upper} + {divider.Lower}) = {new Volts(highest.Value * divider.Ratio)} at {pin}; with resistors ±{divider.Tolerance * 100:0.##} % {reached}")
                : $"at most {reached} at {pin}";
        }
    }

    private static FeedbackExplanation Explain(Board board, Feedback feedback) => feedback switch
    {
        PulseFeedback pulses => new(
            pulses.Point.Name, pulses.Point.LeadEnd,
            string.Create(CultureInfo.InvariantCulture, $"{pulses.PulsesMinimum}..{pulses.PulsesMaximum} pulses within {pulses.Within} of the command"),
            "stated in the profile"),
        SwitchFeedback contact => new(
            contact.Point.Name, contact.Point.LeadEnd,
            string.Create(CultureInfo.InvariantCulture, $"where it is actuated, at most {contact.BouncesMaximum} bounces, steady within {contact.SettlesWithin}{(contact.Debounce is { } debounce ? $"; the machine's debounce of {debounce} takes each change once" : "")}"),
            board.Parts.OfType<SwitchPart>().FirstOrDefault(part => part.Name == contact.Point.Name) is { SwitchType: var type }
                ? string.Create(CultureInfo.InvariantCulture, $"stated in the profile ({type.Name}: at most {type.BouncesMaximum} bounces, steady within {type.SettlesWithin})")
                : "stated in the profile"),
        _ => throw new NotSupportedException($"feedback {feedback.GetType().Name} is not explained"),
    };
}
