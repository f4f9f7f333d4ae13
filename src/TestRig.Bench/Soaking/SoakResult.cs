using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;

namespace TestRig.Bench.Soaking;

/// <summary>What a soak found, sessions before this one included.</summary>
/// <param name="Patterns">What failed together, of this session, the most frequent first.</param>
/// <param name="DiskBytes">That the run takes in the store.</param>
/// <param name="NotKept">Failing cycles whose captures were not kept, for lack of room.</param>
public sealed record SoakResult(
    RunHeading Run, RunSession Session, Board Board, AdapterIdentity Adapter, SoakOptions Options, SoakTally Tally, ImmutableArray<FailurePattern> Patterns, SoakEnding Ending, long DiskBytes, long NotKept)
{
    public bool AnyFailing => Tally.FailingCycles > 0;

    /// <summary>Something was not judged in some cycle, and nothing failed.</summary>
    public bool Incomplete => !AnyFailing && (Tally.Cycles == 0 || Tally.Channels.Any(channel => channel.NotTested > 0 || channel.Judged == 0));
}
