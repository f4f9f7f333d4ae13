using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>
/// A socket in which isolators are tried before they go into a board, with the resistors around it. The line pulls the cathode low through the resistor in its lead, over which the LED's current is
/// read. The emitter goes to ground through a bleeder for good, over which its leakage is read; and through two loads to adapter pins of their own, which float while the adapter is not armed with
/// them and are low while it is: a load is in the circuit only then.
/// </summary>
/// <param name="Channel">The line, and the isolator as its only stage.</param>
/// <param name="Part">With the delay load as its load.</param>
/// <param name="Sink">The adapter's end of the resistor in the line's lead: what the pin really pulls down to.</param>
/// <param name="Ratio">So small that the isolator does not saturate.</param>
/// <param name="RatioLow">The adapter's end of <paramref name="Ratio"/>.</param>
/// <param name="Delay">So large that the emitter swings far enough to be seen as a level.</param>
/// <param name="Tolerance">Of each of the resistors, as a fraction.</param>
public sealed record Socket(
    Channel Channel, IsolatorPart Part, TestPoint Anode, TestPoint Cathode, TestPoint Sink, TestPoint Emitter, SocketLoad Ratio, TestPoint RatioLow, SocketLoad Delay, Ohms Bleeder, double Tolerance)
{
    /// <summary>Where voltages are read beside the channel: they follow its command, and are no part of its path.</summary>
    public IEnumerable<TestPoint> Taps => [Anode, Cathode, Sink, RatioLow];

    public IEnumerable<SocketLoad> Loads => [Ratio, Delay];

    /// <summary>True for a type that goes into the socket as it is wired.</summary>
    public bool Takes(IsolatorType type)
    {
        var wired = Part.IsolatorType;
        return (type.AnodePin, type.CathodePin, type.CollectorPin, type.EmitterPin) == (wired.AnodePin, wired.CathodePin, wired.CollectorPin, wired.EmitterPin);
    }

    /// <summary>The circuit around the isolator, with another type in its place.</summary>
    public IsolatorCircuit CircuitWith(IsolatorType type) => new(Part with { IsolatorType = type }, StageModel.SinkOf(Part with { IsolatorType = type }, Channel.Line));

    /// <summary>The same board with another type in the socket.</summary>
    public Board With(Board board, IsolatorType type)
    {
        var part = Part with { IsolatorType = type };
        var channel = Channel with { Stages = [StageModel.Of(part, Emitter, StageModel.SinkOf(part, Channel.Line))] };
        return board with
        {
            Parts = [.. board.Parts.Select(other => other == Part ? part : other)],
            Channels = [.. board.Channels.Select(other => other == Channel ? channel : other)],
            Socket = this with { Part = part, Channel = channel },
        };
    }
}

/// <summary>A resistor from the emitter to an adapter pin.</summary>
/// <param name="AdapterPin">One that floats until the adapter is armed with it, and is low then.</param>
public sealed record SocketLoad(Ohms Resistance, string AdapterPin);
