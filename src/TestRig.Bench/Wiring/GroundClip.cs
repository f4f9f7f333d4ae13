namespace TestRig.Bench.Wiring;

/// <summary>A lead from the adapter's ground to one of the board's.</summary>
/// <param name="To">What it is clipped to.</param>
/// <param name="Because">Why it may bridge the isolation, in the words of the profile's author; null for one that bridges nothing.</param>
public sealed record GroundClip(string To, string? Because);
