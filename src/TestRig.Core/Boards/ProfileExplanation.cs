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

    /// <summary>The circuit computation behind a stage, with its arithmetic; empty where the data sheet alone decides.</summary>
    private static IEnumerable<string> Circuit(Channel channel, int index)
    {
        if (channel.Stages[index].Bounce is { } bounce)
            yield return string.Create(CultureInfo.InvariantCulture, $"at most {bounce.Most} bounces each time, steady within {bounce.Within} ({channel.Stages[index].Part.Type.Name})");
        if (channel.Stages[index].Part is not IsolatorPart part)
            yield break;
        var known = StageModel.SinkLow(channel.Stages, index);
        var sink = known ?? new Volts(0);
        var type = part.IsolatorType;
        var current = StageModel.LedCurrent(part, sink);
        var assumption = known is null ? " (output low of the stage in front not known: taken as 0 V)" : "";
        yield return string.Create(
            CultureInfo.InvariantCulture,
            $"LED current ({part.LedSupply.Nominal.Value:0.##} − {type.LedForwardTypical.Value:0.##} − {sink.Value:0.##}) V / {part.LedResistor} = {current}, permitted {type.LedCurrentMaximum}{assumption}");
        var margin = StageModel.SaturationMargin(part, sink);
        var warning = margin < 1 ? ": below 1, the weakest permitted part may not reach its level" : "";
        var taken = new Amperes((part.OutputSupply.Nominal.Value - type.SaturationMaximum.Value) / part.Load.Value);
        yield return string.Create(
            CultureInfo.InvariantCulture,
            $"saturation margin {current} × {type.TransferRatioMinimum * 100:0.##} % / (({part.OutputSupply.Nominal.Value:0.##} − {type.SaturationMaximum.Value:0.##}) V / {part.Load}) = {new Amperes(current.Value * type.TransferRatioMinimum)} / {taken} = {margin:0.0}{warning}");
    }

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
