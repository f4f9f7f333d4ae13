namespace TestRig.Core.Boards;

/// <summary>A ground of the board that is isolated from that of a supply.</summary>
/// <param name="IsolatedFrom">The supply on the other side of the isolation.</param>
/// <param name="BridgedBecause">
/// Why the author permits that leads to the adapter bridge the isolation; null when it is not permitted, and then no lead goes to a point of this ground.
/// </param>
public sealed record Ground(string Name, Supply IsolatedFrom, string? BridgedBecause);
