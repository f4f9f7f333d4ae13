namespace TestRig.Core.Diagnosing;

/// <summary>What was seen of it.</summary>
/// <param name="Outcome">From 0, below <see cref="Sight.MostOutcomes"/>.</param>
/// <param name="Surely">False when it cannot be told from its neighbours: it speaks for or against nothing then.</param>
public readonly record struct Seen(Sight Sight, int Outcome, bool Surely = true);
