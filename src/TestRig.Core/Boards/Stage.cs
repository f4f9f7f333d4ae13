using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>One section of a part in the path of a channel, from its input to its output.</summary>
/// <param name="Name">The section as written in the profile, e.g. "U3 2>18" or "Q1".</param>
/// <param name="OutputName">The name of its output as a test point, e.g. "U3.18", whether a lead is there or not.</param>
/// <param name="Output">The test point at its output; null when the profile declares none.</param>
/// <param name="Rise">Delay to a rising output.</param>
/// <param name="Fall">Delay to a falling output.</param>
/// <param name="Levels">The voltages that the receiver behind it needs.</param>
public sealed record Stage(
    string Name,
    Part Part,
    string OutputName,
    TestPoint? Output,
    bool Inverting,
    DelayRange Rise,
    DelayRange Fall,
    LevelLimits Levels)
{
    /// <summary>How much its output may bounce; null for an output that changes once.</summary>
    public ContactBounce? Bounce { get; init; }

    /// <summary>Its direct-current side.</summary>
    public required StageCircuit Circuit { get; init; }

    public DelayRange DelayTo(Level output) => output == Level.High ? Rise : Fall;
}
