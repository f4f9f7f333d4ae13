using System.Collections.Immutable;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;

namespace TestRig.Bench.Storage;

/// <summary>A whole cycle as it was captured: enough to draw it, to judge it and to diagnose it again.</summary>
/// <param name="Records">Of every channel that was exercised, as the judge is given them.</param>
/// <param name="Beside">What was seen beside the exercises.</param>
public sealed record KeptCycle(KeepReason Reason, ImmutableArray<ExerciseRecord> Records, ImmutableArray<Seen> Beside);
