using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;

namespace TestRig.Bench.Recordings;

/// <summary>What a recording showed, as a sweep would tell it.</summary>
/// <param name="Pins">What was recorded: one pin of the point's own name for each test point, and for each line.</param>
public sealed record RecordingResult(SweepResult Sweep, ImmutableArray<AdapterPin> Pins);
