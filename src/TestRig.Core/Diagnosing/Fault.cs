using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing;

/// <summary>One fault of the board or of the measuring set-up.</summary>
/// <param name="Channels">The channels whose findings it explains.</param>
/// <param name="Suspects">What it may be, by belief; at least one.</param>
/// <param name="Advice">What to do about the first suspect, for a technician.</param>
public sealed record Fault(ImmutableArray<string> Channels, ImmutableArray<Suspect> Suspects, string Advice);
