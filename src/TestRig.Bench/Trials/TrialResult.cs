using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Trials;

namespace TestRig.Bench.Trials;

/// <summary>A batch of parts tried in a socket.</summary>
/// <param name="Board">With the claimed type in the socket.</param>
/// <param name="Empty">At the emitter with nothing in the socket.</param>
/// <param name="Skipped">Numbers of the parts that were passed over.</param>
/// <param name="Ending">Why it ended before all parts were tried; empty where it did not.</param>
public sealed record TrialResult(
    Board Board, IsolatorType Claimed, AdapterIdentity Adapter, DateTimeOffset Started, Volts Empty, BatchTrial Batch, ImmutableArray<int> Skipped, string Ending)
{
    /// <summary>A batch of which a part was not tried is not told of as a whole.</summary>
    public bool IsIncomplete => Ending.Length > 0 || Batch.Verdict == TrialVerdict.NotResolved;
}
