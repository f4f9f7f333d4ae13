using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>One buffer of a package, by pin numbers. <paramref name="Enable"/> is the pin that enables it, null when it has none.</summary>
public sealed record BufferSection(string Input, string Output, string? Enable)
{
    /// <summary>The enable's level at which the output drives. All three-state packages in the library have it low.</summary>
    public static Level EnabledAt => Level.Low;

    /// <summary>The other inputs of a gate; none for a buffer or an inverter.</summary>
    public ImmutableArray<string> OtherInputs { get; init; } = [];

    /// <summary>The level at <see cref="OtherInputs"/> that lets <see cref="Input"/> pass: high for AND and NAND, low for OR and NOR.</summary>
    public Level PassesAt { get; init; } = Level.High;
}
