using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>One command from its drive line to its final effect.</summary>
/// <param name="DrivenAt">The test point where the line meets the board.</param>
/// <param name="Stages">In the order in which the command passes them; at least one.</param>
/// <param name="MotionOn">How long the line is on when the channel is exercised in motion mode; within the line's longest on-time. Zero for a line that moves nothing: it is never exercised with motion.</param>
/// <param name="UndoneBy">The channel that moves the axis back; null when none does.</param>
public sealed record Channel(
    string Name,
    Line Line,
    TestPoint DrivenAt,
    ImmutableArray<Stage> Stages,
    ImmutableArray<Feedback> Feedback,
    Duration MotionOn,
    string? UndoneBy)
{
    /// <summary>The level at the output of stage <paramref name="index"/> (0-based) while the line has the level <paramref name="line"/>, on a good board.</summary>
    public Level LevelAfter(int index, Level line)
    {
        var level = line;
        for (var i = 0; i <= index; i++)
            level = Stages[i].Inverting ? level.Inverted() : level;
        return level;
    }

    /// <summary>The latest permitted arrival at the last stage, bounce included.</summary>
    public Duration LatestArrival =>
        Stages.Aggregate(Duration.Zero, (latest, stage) => latest + Duration.Max(stage.Rise.Latest, stage.Fall.Latest) + (stage.Bounce?.Within ?? Duration.Zero));

    /// <summary>Ten times the latest permitted arrival: a part ten times too slow is still seen as slow, not as dead.</summary>
    public Duration SlowestArrival => LatestArrival * 10;

    /// <summary>Where the command shows, in this order: where it enters the board, at the stages' outputs, and where feedback comes in.</summary>
    public IEnumerable<string> Points => Stages.Select(stage => stage.OutputName).Prepend(DrivenAt.Name).Concat(Feedback.Select(feedback => feedback.Point.Name));

    /// <summary>Whether the command shows at this test point.</summary>
    public bool Owns(string point) =>
        DrivenAt.Name == point || Stages.Any(stage => stage.OutputName == point) || Feedback.Any(feedback => feedback.Point.Name == point);
}
