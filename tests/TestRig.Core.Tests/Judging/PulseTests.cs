using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests.Judging;

public class PulseTests
{
    private static readonly Exercise _exercise = Some.Exercise(Some.Board().Channels[0]);

    /// <summary>A stage that is slower to end than to begin makes its pulse longer by the difference (IEC 60469: from the first transition to the one back).</summary>
    [Fact]
    public void Each_stages_pulse_is_the_commands_and_the_difference_of_its_delays()
    {
        var result = Some.Judge(_exercise, Some.Signals(_exercise, Some.GoodDelays));
        var on = (_exercise.OffAt - _exercise.OnAt).ToSeconds();
        foreach (var (point, longer) in new[] { ("J1.2", 0.0), ("U3.18", 0.0), ("OK1.5", 100e-6), ("Q1.C", 110e-6) })
        {
            var pulse = Assert.Single(result.Findings, finding => finding.TestPoint == point && finding.Pulse is not null).Pulse!;
            Assert.Equal(on + longer, pulse.Value.ToSeconds(), 9);
            // 0.5 % of some 60 ms, of which 95 % are stated: the instants' own 1.3 µs vanish beside it.
            Assert.InRange(pulse.ExpandedUncertainty.ToSeconds(), 0.95 * 0.005 * (on + longer), (0.95 * 0.005 * (on + longer)) + 2e-6);
        }
    }

    [Fact]
    public void A_stage_that_does_not_answer_has_no_pulse()
    {
        var result = Some.Judge(_exercise, Some.Signals(_exercise, (0.1, 0.1), (0.2, 0.2), null, null));
        Assert.Equal(["J1.2", "U3.18", "U4.18"], result.Findings.Where(finding => finding.Pulse is not null).Select(finding => finding.TestPoint));
    }

    [Theory]
    [InlineData(10, 40.0, 25.0)] // 9 periods of 40 ms
    [InlineData(2, 100.0, 10.0)]
    public void Feedback_pulses_have_a_rate(int pulses, double apart, double expected)
    {
        var finding = Feedback([.. Enumerable.Range(0, pulses).SelectMany(i => new[] { Some.Change(10_000 + (i * apart * 1000), Level.High), Some.Change(12_000 + (i * apart * 1000), Level.Low) })]);
        Assert.Equal(pulses, finding.Pulses);
        Assert.Equal(expected, finding.Rate!.Value.Value, 3);
        // The clock's 0.5 %, of which 95 % are stated.
        Assert.InRange(finding.Rate.ExpandedUncertainty.Value / expected, 0.95 * 0.005, 0.0049);
        Assert.Contains($"{expected:0} Hz", finding.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void One_pulse_has_no_rate()
    {
        var finding = Feedback(Some.Change(10_000, Level.High), Some.Change(12_000, Level.Low));
        Assert.Equal(1, finding.Pulses);
        Assert.Null(finding.Rate);
    }

    /// <summary>The truth is drawn: a rate, a clock that is off, the looks' phases.</summary>
    [Fact]
    public void The_true_rate_lies_within_what_is_stated_in_94_to_97_of_100_draws()
    {
        var random = new Random(4);
        const int draws = 8_000;
        var covered = 0;
        for (var draw = 0; draw < draws; draw++)
        {
            var truth = 5_000 + (40_000 * random.NextDouble());
            var clock = 0.005 * ((2 * random.NextDouble()) - 1);
            var rate = PulseRate.Of([.. Enumerable.Range(0, 3).Select(i => Seen(random, 100 + (i * 1e6 / truth * (1 + clock))))], 0.005)!;
            covered += Math.Abs(rate.Value.Value - truth) <= rate.ExpandedUncertainty.Value ? 1 : 0;
        }
        Assert.InRange((double)covered / draws, 0.94, 0.97);
    }

    private static Change Seen(Random random, double microseconds)
    {
        var after = microseconds - (1.75 * random.NextDouble());
        return new(Some.At(after), Some.At(after + 1.75), Level.High);
    }

    private static Finding Feedback(params Change[] changes)
    {
        var channel = Some.Channel(1) with { Feedback = [new PulseFeedback(Some.Point("encoder", "D14"), 1, 20, Duration.FromMilliseconds(390))] };
        var capture = new Capture(
            Duration.FromNanoseconds(63), Duration.FromNanoseconds(1300), 0.005, Instant.Start + Duration.FromMilliseconds(500),
            [new("encoder", Level.Low, [.. changes])], [], [], new(CaptureOutcome.Complete, null));
        var on = new CommandEdge(Level.Low, null, Instant.Start, capture.End);
        return Assert.Single(FeedbackJudge.Judge(channel, capture, new(on, on)));
    }

    /// <summary>Pulses of 20 ms, then the memory was full: what came until then is the least that came.</summary>
    [Theory]
    [InlineData(4, Verdict.Extra, Condition.Bouncing)]
    [InlineData(3, Verdict.NotResolved, Condition.NotTested)]
    public void More_pulses_than_permitted_are_too_many_whatever_was_missed(int pulses, Verdict expected, Condition condition)
    {
        var channel = Some.Channel(1) with { Feedback = [new PulseFeedback(Some.Point("encoder", "D14"), 1, 3, Duration.FromMilliseconds(390))] };
        var board = Some.Board() with { Channels = [channel, Some.Board().Channels[1]], TestPoints = [.. Some.Board().TestPoints, channel.Feedback[0].Point] };
        var exercise = Some.Exercise(channel, ExerciseMode.Motion);
        var on = exercise.OnAt.ToSeconds() * 1e6;
        var changes = Enumerable.Range(0, 2 * pulses).Select(i => Some.Change(on + 10_000 + (i * 10_000), i % 2 == 0 ? Level.Low : Level.High));
        var capture = Some.Capture(exercise, [.. Some.Signals(exercise, Some.GoodDelays), new("encoder", Level.High, [.. changes])]);
        var full = new Gap(Some.At(on + 120_000), capture.End, GapReason.NoRoomForChanges);
        var result = Some.Judge(board, exercise, capture with { Gaps = [full] });
        Assert.Equal(expected, result.Findings.Single(finding => finding.Expected == Expectation.Pulses).Verdict);
        Assert.Equal(condition, result.Condition);
    }
}
