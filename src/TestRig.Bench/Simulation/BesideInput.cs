using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>The pins of a logic section that no command passes, as far as the profile says what they are wired to.</summary>
/// <param name="Enable">Null for one that is always enabled.</param>
/// <param name="Others">The other inputs of a gate.</param>
/// <param name="PassesAt">The level of them all that lets the input through.</param>
internal sealed record BesideInput(Net? Enable, IReadOnlyList<Net> Others, Level PassesAt)
{
    /// <summary>A buffer without an enable.</summary>
    public static BesideInput None { get; } = new(null, [], Level.High);
}
