using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>A voltage reading as text, e.g. "3.41 V high" or "1.40 V undefined".</summary>
public sealed record LevelNote(Instant At, string Text);
