using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>A stretch in which something is expected.</summary>
/// <param name="ArrivesAt">The level that the expected transition ends at; null when no single transition is expected.</param>
/// <param name="Words">What is expected, e.g. "falls", "8..12 pulses", "settles".</param>
public sealed record ExpectedWindow(Instant From, Instant To, Level? ArrivesAt, string Words);
