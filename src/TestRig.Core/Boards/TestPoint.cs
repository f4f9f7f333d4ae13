using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A place where a level can be sampled.</summary>
/// <param name="Name">As on the board: "U3.18", "OK1.5", "home-switch".</param>
/// <param name="AdapterPin">The adapter input wired to it now, by a lead of its own or through a multiplexer; null when no lead is there.</param>
/// <param name="Divider">The divider in its lead; null when the lead is direct.</param>
/// <param name="Ground">The ground that its level refers to; null for the adapter's own.</param>
public sealed record TestPoint(string Name, string? AdapterPin, Divider? Divider, string? Ground)
{
    /// <summary>The input of the multiplexer that its lead goes to; null for a lead straight to the adapter.</summary>
    public MultiplexerInput? Through { get; init; }

    /// <summary>Where its lead ends, as a profile writes it: "A3", or "M1.Y3"; null when there is none.</summary>
    public string? LeadEnd => Through?.ToString() ?? AdapterPin;

    /// <summary>The highest voltage that the point can have on a good board, before any divider; null when nothing tells.</summary>
    public Volts? Highest { get; init; }

    /// <summary>The resistor in a direct lead, at the adapter: it bounds the current when the pin drives against something. A divider needs none.</summary>
    public Ohms Series { get; init; } = UsualSeries;

    /// <summary>Of firmware-notes/wiring.md (common practice).</summary>
    public static Ohms UsualSeries { get; } = new(1_000);

    /// <summary>The highest voltage behind the divider, its resistors as unfavourable as their tolerance permits; null when nothing tells.</summary>
    public Volts? HighestAtAdapter => Highest is { } highest ? new(highest.Value * (Divider?.HighestRatio ?? 1)) : null;
}
