using System.Collections.Immutable;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;

namespace TestRig.Tests.FaultSamples;

/// <summary>Some of a board's faults, the same for the same seed.</summary>
internal static class FaultDraw
{
    /// <summary>
    /// One of each way to fail in turn, until there are enough: drawn from all alike, most would be bridges. Within a way to fail each fault is as likely as each other.
    /// </summary>
    public static ImmutableArray<BoardFault> From(Board board, int count, int seed)
    {
        var random = new Random(seed);
        var modes = BoardFaults.Of(board).Where(fault => FaultPlan.Of(board, fault.Written).Plan is not null).GroupBy(fault => fault.Mode).OrderBy(mode => mode.Key).Select(Shuffled).ToArray();
        random.Shuffle(modes);
        return [.. Enumerable.Range(0, modes.Max(mode => mode.Length)).SelectMany(turn => modes.Where(mode => turn < mode.Length).Select(mode => mode[turn])).Take(count)];

        BoardFault[] Shuffled(IEnumerable<BoardFault> faults)
        {
            BoardFault[] shuffled = [.. faults];
            random.Shuffle(shuffled);
            return shuffled;
        }
    }
}
