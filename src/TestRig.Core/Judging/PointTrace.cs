using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Core.Judging;

/// <summary>What one test point did through an exercise, judged by nobody: the levels in which it rested, and what it did between them.</summary>
/// <param name="Before">When the command began.</param>
/// <param name="During">When the command ended.</param>
/// <param name="After">At the end of the capture.</param>
/// <param name="Surplus">Changes beyond those that lead from one of these levels to the next: 0 of a point that settles at once.</param>
public sealed record PointTrace(string TestPoint, Level Before, Level During, Level After, int Surplus)
{
    public static PointTrace Of(Signal signal, CommandEdges edges)
    {
        var (before, during, after) = (signal.LevelAt(edges.On.From), signal.LevelAt(edges.Off.From), signal.Final);
        var needed = (before == during ? 0 : 1) + (during == after ? 0 : 1);
        return new(signal.Name, before, during, after, signal.Changes.Length - needed);
    }
}
