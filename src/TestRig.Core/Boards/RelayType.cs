using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A relay with a make contact.</summary>
/// <param name="CoilNominal">The voltage that its coil is made for.</param>
/// <param name="OperateDelay">From voltage at the coil to the first closing of the contact; bouncing comes after it.</param>
/// <param name="ReleaseDelay">From the end of the coil's voltage to the first opening.</param>
public sealed record RelayType(
    string Name,
    string Description,
    string Source,
    Volts CoilNominal,
    DelayLimits OperateDelay,
    DelayLimits ReleaseDelay,
    ContactBounce Bounce) : PartType(Name, Description, Source)
{
    /// <summary>Of the coil; null when not known.</summary>
    public Ohms? CoilResistance { get; init; }

    /// <summary>Of the closed contact, at most; null when not known.</summary>
    public Ohms? ContactResistanceMaximum { get; init; }
}
