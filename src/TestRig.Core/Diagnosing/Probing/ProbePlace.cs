using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Probing;

/// <summary>A place that a roving lead can touch.</summary>
/// <param name="Name">Of the test point.</param>
/// <param name="Experiments">All that is seen there in one touch.</param>
public sealed record ProbePlace(string Name, ImmutableArray<int> Experiments);
