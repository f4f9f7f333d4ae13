namespace TestRig.Bench.Adapters;

/// <summary>One pin of an adapter and what it can do.</summary>
/// <param name="Line">Can be a command line.</param>
/// <param name="Sense">Is looked at while a program runs.</param>
/// <param name="Analog">Its voltage can be read.</param>
/// <param name="Stop">Can be a stop input.</param>
/// <param name="Select">Can choose a multiplexer's input.</param>
public sealed record AdapterPin(string Name, bool Line, bool Sense, bool Analog, bool Stop, bool Select = false)
{
    /// <summary>The adapter's hardware can stamp its changes, finer than by looking.</summary>
    public bool Fine { get; init; }

    /// <summary>
    /// The adapter's hardware can stamp when its voltage crosses a reference, which is not where its level changes: of use only where something bounds the time between
    /// the two. No pin is this and <see cref="Fine"/>.
    /// </summary>
    public bool Crossing { get; init; }

    /// <summary>
    /// Its lead can be discharged and pulled up. Our own device does that at no pin that could be a line, declared or not: such a lead may sit on a command
    /// input.
    /// </summary>
    public bool CanCheckLead { get; init; } = Sense && !Line;
}
