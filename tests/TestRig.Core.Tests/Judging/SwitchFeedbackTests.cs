using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests.Judging;

public class SwitchFeedbackTests
{
    /// <summary>A contact that a command works, not a motion, shows itself with the motor supply off; where the line moves something, it does not.</summary>
    [Theory]
    [InlineData(false, Verdict.Bouncing, Condition.Bouncing)]
    [InlineData(true, Verdict.NotTested, Condition.Crossed)] // it changed though nothing should move
    public void A_contact_of_a_line_that_moves_nothing_is_judged_in_every_mode(bool moves, Verdict expected, Condition condition)
    {
        var board = Some.Board();
        var channel = board.Channels[0] with { Feedback = [new SwitchFeedback(Some.Point("contact", "D13"), 2, Duration.FromMilliseconds(5))] };
        channel = channel with { Line = channel.Line with { Motion = moves } };
        board = board with { Channels = [channel, board.Channels[1]], TestPoints = [.. board.TestPoints, channel.Feedback[0].Point] };
        foreach (var mode in (ExerciseMode[])(moves ? [ExerciseMode.LogicOnly] : [ExerciseMode.LogicOnly, ExerciseMode.Motion]))
        {
            var exercise = Some.Exercise(channel, mode);
            Assert.Equal(ExerciseMode.LogicOnly, exercise.Mode);
            var closes = exercise.OnAt.ToSeconds() * 1e6 + 8_000;
            var bounces = Enumerable.Range(0, 5).Select(i => Some.Change(closes + (i * 500), i % 2 == 0 ? Level.Low : Level.High));
            var result = Some.Judge(board, exercise, Some.Capture(exercise, [.. Some.Signals(exercise, Some.GoodDelays), new("contact", Level.High, [.. bounces])]));
            Assert.Equal(expected, result.Findings.Single(finding => finding.TestPoint == "contact" && finding.Expected == Expectation.Settles).Verdict);
            Assert.Equal(condition, result.Condition);
            Assert.Equal(moves, QuietJudge.Motion(board, mode, result.Findings) is not null);
        }
    }

    [Fact]
    public void A_bouncing_contact_is_placed_where_the_worst_bouncing_begins()
    {
        // Closes cleanly after 100 ms, opens after 200 ms with twelve extra transitions over 12 ms. Ten and 5 ms are permitted.
        const double opens = 200_000;
        var changes = new List<Change> { Some.Change(100_000, Level.Low) };
        for (var i = 0; i <= 12; i++)
            changes.Add(Some.Change(opens + (i * 1_000), i % 2 == 0 ? Level.High : Level.Low));
        var feedback = new SwitchFeedback(Some.Point("home-switch", "D13"), 10, Duration.FromMilliseconds(5));
        var channel = Some.Channel(1) with { Feedback = [feedback] };
        var capture = new Capture(
            Duration.FromNanoseconds(63), Duration.FromNanoseconds(1300), 0.005, Instant.Start + Duration.FromMilliseconds(400),
            [new("home-switch", Level.High, [.. changes])], [], [], new(CaptureOutcome.Complete, null));
        var on = new CommandEdge(Level.Low, null, Instant.Start, capture.End);

        var finding = Assert.Single(FeedbackJudge.Judge(channel, capture, new(on, on)));
        Assert.Equal(Verdict.Bouncing, finding.Verdict);
        Assert.Equal(12, finding.Bounces);
        Assert.Equal(changes[1].Estimate, finding.ObservedAt);
    }

    /// <summary>
    /// The published bounce (Ganssle, as quoted: high 81 ms, low 42 ms, then high), under a machine that waits for so long. It is one real change or three, by what is permitted to count as bouncing.
    /// </summary>
    [Theory]
    [InlineData(30, Verdict.Conforms, 3, 3)] // each lasts longer than 20 ms: real, and taken
    [InlineData(60, Verdict.Absent, 3, 1)] // the machine waits for longer than the contact stays
    [InlineData(42, Verdict.NotResolved, 3, 3)] // as long as the machine waits: which is longer nobody can tell
    [InlineData(300, Verdict.NotResolved, 3, null)] // the exercise ended first
    public void What_the_machine_takes_of_a_contact_is_counted_and_judged(int debounce, Verdict expected, int changes, int? taken)
    {
        var finding = Watched(debounce, 10, 50_000, 131_000, 173_000);
        Assert.Equal(expected, finding.Verdict);
        Assert.Equal(changes, finding.SettledChanges);
        Assert.Equal(taken, finding.TakenChanges);
    }

    [Theory]
    [InlineData(1, Verdict.Bouncing, 3)] // 2 ms between the edges
    [InlineData(5, Verdict.Conforms, 1)]
    public void A_bounce_that_is_permitted_and_outlasts_the_machines_patience_is_told(int debounce, Verdict expected, int taken)
    {
        var finding = Watched(debounce, 10, 50_000, 52_000, 54_000);
        Assert.Equal(expected, finding.Verdict);
        Assert.Equal((1, taken), (finding.SettledChanges, finding.TakenChanges!.Value));
        Assert.Contains($"takes {taken} change", finding.Words, StringComparison.Ordinal);
        Assert.InRange(finding.SettleTime!.Value.ToSeconds(), 3.99e-3, 4.01e-3);
    }

    private static Finding Watched(int debounce, int bounces, params double[] changes)
    {
        var feedback = new SwitchFeedback(Some.Point("home-switch", "D13"), bounces, Duration.FromMilliseconds(5)) { Debounce = Duration.FromMilliseconds(debounce) };
        var channel = Some.Channel(1) with { Feedback = [feedback] };
        var capture = new Capture(
            Duration.FromNanoseconds(63), Duration.FromNanoseconds(1300), 0.005, Instant.Start + Duration.FromMilliseconds(400),
            [new("home-switch", Level.Low, [.. changes.Select((at, i) => Some.Change(at, i % 2 == 0 ? Level.High : Level.Low))])], [], [], new(CaptureOutcome.Complete, null));
        var on = new CommandEdge(Level.Low, null, Instant.Start, capture.End);
        return Assert.Single(FeedbackJudge.Judge(channel, capture, new(on, on)));
    }
}
