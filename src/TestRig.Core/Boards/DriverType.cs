using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>What drives in one state only: a transistor, a package of Darlington transistors, a package of open collectors.</summary>
/// <param name="HighSide">
/// True for a transistor between supply and load (PNP, emitter at the supply): a low input turns it on and its output goes high. False for a
/// transistor between load and ground (NPN): a high input turns it on and its output goes low. Both invert. An open collector is a low side.
/// </param>
public sealed record DriverType(
    string Name,
    string Description,
    string Source,
    bool HighSide,
    DelayLimits OnDelay,
    DelayLimits OffDelay) : PartType(Name, Description, Source)
{
    /// <summary>The drivers of a package; empty for a single transistor, whose pins are B and C.</summary>
    public ImmutableArray<DriverSection> Sections { get; init; } = [];

    /// <summary>False for an open collector that does not invert: a low input makes it conduct.</summary>
    public bool Inverting { get; init; } = true;

    /// <summary>True for an open collector of a logic family: the package has a supply of its own beside that of its loads.</summary>
    public bool HasLogicSupply { get; init; }

    /// <summary>Its logic input; null for a transistor that has none, or whose data do not tell.</summary>
    public InputLoad? Input { get; init; }

    /// <summary>Across it while it conducts, at the sheet's current; null when not known.</summary>
    public Volts? SaturationTypical { get; init; }

    /// <summary>At most across it while it conducts; null when not known.</summary>
    public Volts? SaturationMaximum { get; init; }

    /// <summary>What its output stands while it is off; null when not known.</summary>
    public Volts? OutputMaximum { get; init; }
}
