using TestRig.Bench.Probing;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Recordings;

/// <summary>
/// A board whose leads are a recording's signals: what was recorded is seen at a pin of the point's own name, and nothing else is seen. So everything behind the captures is that of a sweep.
/// </summary>
public static class RecordedBoard
{
    /// <summary>What the pin of an adapter takes; a recording instrument's input takes what it took.</summary>
    private static readonly Volts _pinMaximum = new(5);

    /// <param name="recorded">Names of the test points that are in the recording.</param>
    public static Board Of(Board board, IReadOnlySet<string> recorded)
    {
        // Parts know their supplies, so these stay as they are.
        var supplies = board.Supplies.Select(supply => supply.SensedAt?.Name).ToHashSet();
        var driven = board.Channels.Select(channel => channel.DrivenAt.Name).ToHashSet();
        TestPoint Seen(TestPoint point)
        {
            if (supplies.Contains(point.Name))
                return point;
            // A sweep, with which a diagnosis compares, has every line's own pin in its captures.
            if (!recorded.Contains(point.Name) && !driven.Contains(point.Name))
                return RovingBoard.WithoutLead(point);
            var seen = point with { AdapterPin = point.Name, Through = null };
            return seen.HighestAtAdapter is { } highest && highest > _pinMaximum ? seen with { Divider = Divider.For(point.Highest!.Value, _pinMaximum) } : seen;
        }
        var rewired = RovingBoard.Rewire(board, Seen, added: null);
        return rewired.WithLines(line => board.Channels.FirstOrDefault(channel => channel.Line.Name == line.Name) is { } channel ? line with { AdapterPin = channel.DrivenAt.Name } : line) with
        {
            Stops = [.. rewired.Stops.Where(stop => stop.Point.AdapterPin is not null)],
        };
    }
}
