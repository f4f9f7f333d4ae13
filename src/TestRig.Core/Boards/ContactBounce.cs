using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>How much a good contact may bounce each time it closes or opens.</summary>
/// <param name="Most">Transitions after the first.</param>
/// <param name="Within">From the first transition to the last.</param>
public sealed record ContactBounce(int Most, Duration Within);
