using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A package on the board with the circuit around it that its behaviour depends on.</summary>
public abstract record Part(string Name, PartType Type)
{
    /// <summary>The supply that a line held high would feed backwards through the part's logic inputs if it were off; null for a part without such inputs.</summary>
    public virtual Supply? InputSupply => null;

    /// <summary>What its output is driven, or pulled up, to at most; null for a part without an output in a path.</summary>
    public virtual Supply? SupplyOfOutput => null;
}

/// <summary>A package of buffers or gates and its supply.</summary>
public sealed record BufferPart(string Name, BufferType BufferType, Supply Supply) : Part(Name, BufferType)
{
    /// <summary>Pins that no command passes, as far as the profile tells: enables that are not mentioned are tied to where they enable.</summary>
    public ImmutableArray<TiedPin> Tied { get; init; } = [];

    public override Supply? InputSupply => Supply;

    public override Supply? SupplyOfOutput => Supply;
}

/// <summary>An isolator in its circuit.</summary>
/// <param name="LedSupply">The LED's supply. The stage in front sinks the LED current: a low input lights it.</param>
/// <param name="OutputSupply">The supply of the phototransistor's side.</param>
/// <param name="TakenAtCollector">True: load from the supply to the collector, output low when lit. False: load from the emitter to ground, output high when lit.</param>
public sealed record IsolatorPart(
    string Name,
    IsolatorType IsolatorType,
    Supply LedSupply,
    Ohms LedResistor,
    Supply OutputSupply,
    Ohms Load,
    bool TakenAtCollector) : Part(Name, IsolatorType)
{
    public override Supply? SupplyOfOutput => OutputSupply;
}

/// <summary>A driver and the supply of its load.</summary>
public sealed record DriverPart(string Name, DriverType DriverType, Supply Supply) : Part(Name, DriverType)
{
    /// <summary>The supply of the package itself; null where it needs none.</summary>
    public Supply? LogicSupply { get; init; }

    public override Supply? InputSupply => LogicSupply;

    public override Supply? SupplyOfOutput => Supply;

    /// <summary>Coil, lamp or pull-up between output and supply (high side: ground); null where the profile does not tell.</summary>
    public Ohms? Load { get; init; }
}

/// <summary>
/// A relay. The driver in front sinks the current of its coil; its make contact, to ground, pulls a net low that a resistor pulls up.
/// </summary>
/// <param name="ContactSupply">What the net of the contact is pulled up to.</param>
public sealed record RelayPart(string Name, RelayType RelayType, Supply ContactSupply) : Part(Name, RelayType)
{
    /// <summary>The resistor that pulls the contact's net up; null where the profile does not tell.</summary>
    public Ohms? PullUp { get; init; }

    public override Supply? SupplyOfOutput => ContactSupply;
}

/// <summary>A switch, e.g. a home or limit switch.</summary>
public sealed record SwitchPart(string Name, SwitchType SwitchType) : Part(Name, SwitchType);
