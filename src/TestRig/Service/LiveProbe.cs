using System.Collections.Immutable;

namespace TestRig.Service;

/// <summary>Guided probing as it stands: what the person with the lead is to do, and what was seen.</summary>
/// <param name="Question">Number of the question that waits for its answer; null while something is driven or worked out.</param>
/// <param name="Touch">Where to put the tip; null where no question waits.</param>
/// <param name="Expected">What is expected there; null where no question waits.</param>
/// <param name="NotTouched">Points where no lead may go, each with the reason.</param>
/// <param name="Seen">What was seen, the latest first.</param>
/// <param name="Suspects">What is left by all that, the likeliest first.</param>
public sealed record LiveProbe(
    string Channel, string Lead, int? Question, string? Touch, string? Expected, ImmutableArray<string> NotTouched, ImmutableArray<string> Checks, ImmutableArray<string> Seen, ImmutableArray<ProbedSuspect> Suspects);

/// <param name="Belief">0 to 1.</param>
public sealed record ProbedSuspect(string Words, double Belief);
