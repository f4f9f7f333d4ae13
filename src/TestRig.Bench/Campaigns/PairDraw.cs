using System.Collections.Immutable;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>Which pairs of faults are tried, where there are too many to try each.</summary>
internal static class PairDraw
{
    /// <summary>Draws in vain before it is taken that there are no more pairs.</summary>
    private const int DrawsForEach = 50;

    /// <summary>
    /// Pairs of faults of different items that can be there together, each pair at most once. How each of them fails is drawn first and which fault then: bridges are most of all faults, and would be
    /// most of all pairs.
    /// </summary>
    public static ImmutableArray<(BoardFault First, BoardFault Second)> From(ImmutableArray<BoardFault> faults, int pairs, TrialBench bench, Random random)
    {
        var modes = faults.GroupBy(fault => fault.Mode).OrderBy(mode => mode.Key).Select(mode => mode.ToImmutableArray()).ToImmutableArray();
        var places = faults.Select((fault, index) => (fault, index)).ToDictionary(entry => entry.fault, entry => entry.index);
        var drawn = new List<(BoardFault, BoardFault)>();
        var known = new HashSet<(int, int)>();
        for (var draw = 0; drawn.Count < pairs && draw < pairs * DrawsForEach && modes.Length > 0; draw++)
        {
            var (one, other) = (Any(), Any());
            var (first, second) = places[one] < places[other] ? (one, other) : (other, one);
            if (first.Item != second.Item && known.Add((places[first], places[second])) && bench.CanHave(first, second))
                drawn.Add((first, second));
        }
        return [.. drawn];

        BoardFault Any()
        {
            var mode = modes[random.Next(modes.Length)];
            return mode[random.Next(mode.Length)];
        }
    }
}
