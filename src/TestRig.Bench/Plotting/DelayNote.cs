using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>A delay written beside the transition that it belongs to.</summary>
/// <param name="From">The cause.</param>
/// <param name="To">The transition.</param>
/// <param name="Text">Empty where the mark of the first wrong transition already gives the number.</param>
/// <param name="Uncertainty">Width of the interval that the transition was seen in: the text keeps clear of it.</param>
public sealed record DelayNote(Instant From, Instant To, Duration Uncertainty, string Text);
