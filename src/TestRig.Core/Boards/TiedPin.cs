using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A pin that no command passes, and what it is wired to: an enable, or the other input of a gate.</summary>
/// <param name="Supply">The supply that it is tied to; null when it is something else.</param>
/// <param name="Point">The test point whose net it is on; null for a supply or ground.</param>
/// <param name="Stays">Its level while any one channel is exercised.</param>
public sealed record TiedPin(string Pin, Supply? Supply, TestPoint? Point, Level Stays)
{
    /// <summary>As a profile writes it: "logic", "ground", "J1.14".</summary>
    public string To => Supply?.Name ?? Point?.Name ?? Ground;

    public const string Ground = "ground";
}
