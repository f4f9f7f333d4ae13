using System.Collections.Immutable;
using TestRig.Core.Boards;

namespace TestRig.Core.Scheduling;

/// <summary>What the adapter sees while all multiplexers stay at one address.</summary>
/// <param name="HighPins">The select pins that are high; all the others are low.</param>
/// <param name="Points">Test points with a lead that are seen: those with an adapter pin of their own, and one for each multiplexer whose input has one.</param>
public sealed record PointSelection(ImmutableArray<string> HighPins, ImmutableArray<TestPoint> Points)
{
    /// <summary>
    /// As few selections as show every test point with a lead. Exactly one, with no select pin high, where the board is sampled without multiplexers.
    /// </summary>
    public static ImmutableArray<PointSelection> Of(Board board)
    {
        var direct = board.TestPoints.Where(point => point is { AdapterPin: not null, Through: null }).ToImmutableArray();
        // Multiplexers with the same select pins go through their addresses together, the others beside them.
        var groups = board.TestPoints.Where(point => point.Through is not null)
            .GroupBy(point => string.Join(' ', point.Through!.Multiplexer.SelectPins))
            .Select(group => group.GroupBy(point => point.Through!.Address).OrderBy(input => input.Key).Select(input => input.ToImmutableArray()).ToImmutableArray())
            .ToImmutableArray();
        var needed = groups.Select(group => group.Length).DefaultIfEmpty(1).Max();
        return
        [
            .. Enumerable.Range(0, needed).Select(index =>
            {
                var chosen = groups.Select(group => group[index % group.Length]).ToImmutableArray();
                return new PointSelection([.. chosen.SelectMany(points => HighFor(points[0].Through!))], [.. direct, .. chosen.SelectMany(points => points)]);
            }),
        ];
    }

    private static IEnumerable<string> HighFor(MultiplexerInput input) =>
        input.Multiplexer.SelectPins.Where((_, bit) => (input.Address >> bit & 1) == 1);
}
