using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A package of logic outputs that drive both levels: buffers, inverters, gates.</summary>
/// <param name="RiseDelay">Delay to an output that rises (tPLH).</param>
/// <param name="FallDelay">Delay to an output that falls (tPHL).</param>
/// <param name="OutputLowMaximum">VOL, maximum.</param>
/// <param name="OutputHighMinimum">VOH, minimum.</param>
public sealed record BufferType(
    string Name,
    string Description,
    string Source,
    bool Inverting,
    ImmutableArray<BufferSection> Sections,
    DelayLimits RiseDelay,
    DelayLimits FallDelay,
    LevelLimits InputLimits,
    Volts OutputLowMaximum,
    Volts OutputHighMinimum) : PartType(Name, Description, Source)
{
    /// <summary>The level that an input left open reads; null when it is not known.</summary>
    public Level? FloatingInput { get; init; }

    /// <summary>Current that flows out of one input held low, maximum: a pull-down has to sink it. Null when not known.</summary>
    public Amperes? InputLowCurrentMaximum { get; init; }

    /// <summary>Current that flows into one input held high, maximum: a pull-up has to supply it. Null when not known.</summary>
    public Amperes? InputHighCurrentMaximum { get; init; }

    /// <summary>VOL, typical; null where the sheet gives none.</summary>
    public Volts? OutputLowTypical { get; init; }

    /// <summary>VOH, typical; null where the sheet gives none.</summary>
    public Volts? OutputHighTypical { get; init; }

    /// <summary>Of an output that is low, typical; null when not known.</summary>
    public Ohms? OutputLowResistance { get; init; }

    /// <summary>From an output that is high into a short circuit (IOS), least and most; null when not known.</summary>
    public (Amperes Minimum, Amperes Maximum)? ShortCircuitCurrent { get; init; }

    public InputLoad Input => new(InputLimits, FloatingInput, InputLowCurrentMaximum, InputHighCurrentMaximum);
}
