using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>A delay written beside the transition that it belongs to.</summary>
/// <param name="From">The cause.</param>
/// <param name="To">The transition.</param>
public sealed record DelayNote(Instant From, Instant To, string Text);
