using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Files;

/// <summary>What is known of a board before it was asked: its lines, and where leads are clipped.</summary>
/// <param name="Board">Without parts and channels. Each line may move something, and the supply of whatever that is has to be off.</param>
/// <param name="DrivenAt">By line: the point where it meets the board, one of the board's test points; its adapter pin is the line's.</param>
public sealed record PointsFile(Board Board, ImmutableDictionary<string, TestPoint> DrivenAt)
{
    /// <summary>The points that leads are clipped to, without those of the lines.</summary>
    public ImmutableArray<TestPoint> Clipped => [.. Board.TestPoints.Where(point => !DrivenAt.ContainsValue(point))];

    /// <summary>How high a clipped point can go: its author says so, so it is never null.</summary>
    public static Volts HighestAt(TestPoint point) => point.Highest ?? throw new InvalidOperationException($"Nothing tells how high {point.Name} can go.");
}
