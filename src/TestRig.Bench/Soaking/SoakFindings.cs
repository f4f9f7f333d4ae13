using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;

namespace TestRig.Bench.Soaking;

/// <summary>What a run found so far, all its sessions together.</summary>
/// <param name="Board">By the run's own profile.</param>
/// <param name="Adapter">Of its last session.</param>
/// <param name="WatchIdle">Lines were idle, and whatever changed was wrong.</param>
/// <param name="Patterns">What failed together, the most frequent first.</param>
/// <param name="OtherFailures">Failing cycles that are of none of these.</param>
/// <param name="DiskBytes">That the run takes in the store.</param>
/// <param name="NotKept">Failing cycles whose captures were not kept, for lack of room.</param>
public record SoakFindings(
    RunHeading Run, Board Board, AdapterIdentity Adapter, bool WatchIdle, SoakTally Tally, ImmutableArray<FailurePattern> Patterns, long OtherFailures, long DiskBytes, long NotKept)
{
    public bool AnyFailing => Tally.FailingCycles > 0;

    /// <summary>Something was not judged in some cycle, and nothing failed.</summary>
    public bool Incomplete => !AnyFailing && (Tally.Cycles == 0 || Tally.Channels.Any(channel => channel.NotTested > 0 || channel.Judged == 0));
}
