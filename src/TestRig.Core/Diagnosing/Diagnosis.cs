using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing;

/// <summary>What explains the findings of a sweep, and what to do.</summary>
/// <param name="Suspects">For each independent fault the explanations by belief, the first fault's first.</param>
/// <param name="NextProbe">The measurement that would tell most now; null when nothing is left to tell.</param>
/// <param name="Advice">Sentences for a technician, in the order in which to act.</param>
/// <param name="Unexplained">Channels that are not working and that no single fault of the model explains.</param>
public sealed record Diagnosis(
    ImmutableArray<Suspect> Suspects, string? NextProbe, ImmutableArray<string> Advice, ImmutableArray<string> Unexplained)
{
    public static Diagnosis Healthy { get; } = new([], null, [], []);
}
