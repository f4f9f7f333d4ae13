using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A net in the path of a channel that can be pulled low from outside, as the stage in front of it would: what follows then proves all that is behind it.</summary>
/// <param name="Stage">0-based index of the stage whose output the net is.</param>
/// <param name="Ground">The ground that the transistor's source goes to; null for the adapter's own.</param>
public sealed record Injection(Channel Channel, int Stage, Ground? Ground)
{
    /// <summary>The resistor at the transistor, over what pulls the net up: low enough for a low level, high enough for a short circuit (common practice).</summary>
    private const double PullOverSeries = 20;

    /// <summary>A contactor's coil, where the profile does not tell what pulls the net up (common practice).</summary>
    private static readonly Ohms _usualPull = new(400);

    /// <summary>The E12 series of preferred values (IEC 60063: value from memory), falling.</summary>
    private static readonly double[] _preferred = [8.2, 6.8, 5.6, 4.7, 3.9, 3.3, 2.7, 2.2, 1.8, 1.5, 1.2, 1.0];

    public Stage Pulled => Channel.Stages[Stage];

    public string Net => Pulled.OutputName;

    /// <summary>The stages that an injection tells of, in path order.</summary>
    public ImmutableArray<Stage> Behind => Channel.Stages[(Stage + 1)..];

    /// <summary>Those whose faults do not show.</summary>
    public ImmutableArray<Stage> Before => Channel.Stages[..(Stage + 1)];

    /// <summary>What the net is pulled up to.</summary>
    public Supply Supply => Pulled.Part.SupplyOfOutput!;

    /// <summary>What pulls the net up.</summary>
    public Ohms Pull => Pulled.Circuit.OutputPull?.Resistance ?? _usualPull;

    public Ohms Series
    {
        get
        {
            var most = Pull.Value / PullOverSeries;
            var decade = Math.Pow(10, Math.Floor(Math.Log10(most)));
            return new(_preferred.First(value => value * decade <= most * (1 + 1e-9)) * decade);
        }
    }

    /// <summary>Through the transistor while it pulls a good net low, its own voltage left out.</summary>
    public Amperes Current => new(Supply.Maximum.Value / (Pull.Value + Series.Value));

    /// <summary>The same while something holds the net at its supply.</summary>
    public Amperes CurrentAtShort => new(Supply.Maximum.Value / Series.Value);

    /// <summary>Every net of the board that can be pulled low, in the order of the channels.</summary>
    public static ImmutableArray<Injection> Of(Board board) =>
        [.. board.Channels.SelectMany(channel => channel.Stages).Select(stage => stage.OutputName).Distinct().Select(net => At(board, net).Injection).OfType<Injection>()];

    /// <summary>Null and why not, with the remedy, where the net may not be pulled low or nothing would follow; both null where it is no net of a channel.</summary>
    /// <param name="net">By the name of the output that drives it, or of the test point where a line meets the board.</param>
    public static (Injection? Injection, string? Refused) At(Board board, string net)
    {
        if (board.Channels.FirstOrDefault(candidate => candidate.DrivenAt.Name == net) is { } driven)
            return (null, $"{net} is where line '{driven.Line.Name}' meets the board, and a sweep drives it there: inject behind it.");
        if (board.Channels.FirstOrDefault(candidate => candidate.Stages.Any(known => known.OutputName == net)) is not { } channel)
            return (null, null);
        var index = channel.Stages.ToList().FindIndex(known => known.OutputName == net);
        var stage = channel.Stages[index];
        if (channel.LevelAfter(index, channel.Line.Active) == Level.High)
            return (null, $"{net} is high while '{channel.Line.Name}' is on, and low while it is not: a transistor at a lead can only pull a net low, which commands nothing there.");
        if (stage.Circuit.WhenHigh is not null)
            return (null, $"{stage.Part.Name} ({stage.Part.Type.Name}) drives {net} high by itself: a net is pulled low only where nothing but a resistor or a coil holds it high, since an output that drives against the transistor is overloaded.");
        if (stage.Part.SupplyOfOutput is null)
            return (null, $"The profile does not tell what {net} is pulled up to.");
        if (index == channel.Stages.Length - 1 && (channel.Feedback.IsEmpty || channel.Line.Motion))
            return (null, $"{net} is the end of channel {channel.Name}: nothing is behind it that could follow.");
        var (ground, refused) = GroundOf(board, channel, index);
        return refused is null ? (new(channel, index, ground), null) : (null, refused);
    }

    private static (Ground? Ground, string? Refused) GroundOf(Board board, Channel channel, int index)
    {
        var (net, isolators) = (channel.Stages[index].OutputName, channel.Stages.Take(index + 1).Count(stage => stage.Part is IsolatorPart));
        if (board.Grounds.IsEmpty || (isolators == 0 && channel.Stages[index].Output?.Ground is null))
            return (null, null);
        // Points between the same two isolators are on the same side.
        var names = channel.Stages.Where((stage, other) => stage.Output is not null && channel.Stages.Take(other + 1).Count(before => before.Part is IsolatorPart) == isolators)
            .Select(stage => stage.Output!.Ground).Distinct().ToList();
        if ((channel.Stages[index].Output is { } output ? output.Ground : names is [var only] ? only : null) is not { } name)
            return (null, $"{net} lies behind an isolator, and the profile does not say to which ground it refers: write it in test-points, with its ground.");
        var ground = board.Grounds.First(known => known.Name == name);
        return ground.BridgedBecause is null
            ? (null, $"{net} refers to ground {name}, isolated from that of {ground.IsolatedFrom.Name}: the transistor's source would join it to the adapter's ground, and the profile does not permit that the isolation is bridged.")
            : (ground, null);
    }
}
