using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests.Scheduling;

/// <summary>Exercises through an adapter that may serve the end of a line's on-time late.</summary>
public class StepLatenessTests
{
    private static readonly Duration _late = Duration.FromMilliseconds(20);

    private static readonly Channel _channel = Some.Board().Channels[0];

    private static Exercise Plan(Duration longestOn, ExerciseMode mode)
    {
        var channel = _channel with { Line = _channel.Line with { LongestOn = longestOn } };
        var options = ExerciseOptions.For(Duration.FromMicroseconds(120)) with { StepLateness = _late, Seeing = _late * 3 };
        return Scheduler.Plan(TurnOrder.Of(channel), mode, options, [], PointSelection.Of(Some.Board())).Exercises[0];
    }

    [Theory]
    [InlineData(65)]
    [InlineData(100)]
    [InlineData(500)]
    public void A_line_is_off_before_its_limit_however_late(int longestOn)
    {
        var exercise = Plan(Duration.FromMilliseconds(longestOn) + _late, ExerciseMode.LogicOnly);
        Assert.True(exercise.OffAt - exercise.OnAt + _late < Duration.FromMilliseconds(longestOn) + _late);
    }

    [Fact]
    public void A_limit_that_leaves_no_room_for_being_late_is_refused()
    {
        Assert.Throws<ArgumentException>(() => Plan(Duration.FromMilliseconds(65), ExerciseMode.LogicOnly));
        // It moves for 400 ms (Some).
        var exercise = Plan(Duration.FromMilliseconds(420), ExerciseMode.Motion);
        Assert.Equal(Duration.FromMilliseconds(400), exercise.OffAt - exercise.OnAt);
        var problem = Assert.Throws<ArgumentException>(() => Plan(Duration.FromMilliseconds(419), ExerciseMode.Motion));
        Assert.Contains("20 ms late to end that: make motion-on shorter", problem.Message, StringComparison.Ordinal);
    }
}
