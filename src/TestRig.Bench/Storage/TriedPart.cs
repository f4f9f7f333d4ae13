using TestRig.Core.Trials;

namespace TestRig.Bench.Storage;

/// <summary>What is kept of every part of a trial.</summary>
/// <param name="Number">From 1, without gaps, in the whole run.</param>
/// <param name="Took">From its start to its end.</param>
/// <param name="Measured">What was measured of it; null of one that was passed over.</param>
public sealed record TriedPart(int Number, DateTimeOffset Started, TimeSpan Took, PartMeasurement? Measured);
