using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>The first wrong transition in words, and where to mark it.</summary>
/// <param name="At">Where it was seen, or where it was expected when it did not come.</param>
public sealed record WrongMark(Instant At, string Text);
