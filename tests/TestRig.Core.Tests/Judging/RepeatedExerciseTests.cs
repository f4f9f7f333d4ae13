using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests.Judging;

/// <summary>One channel, exercised once for each half of its points, as through a multiplexer.</summary>
public class RepeatedExerciseTests
{
    private static readonly Exercise _exercise = Some.Exercise(Some.Board().Channels[0]);

    /// <summary>Points of stages seen in the first exercise, and in the second; the drive point is seen in both.</summary>
    private static readonly int[] _seenFirst = [0, 3], _seenSecond = [1, 2];

    [Fact]
    public void What_each_exercise_saw_is_one_channel()
    {
        var result = Judge(Good(_seenFirst, late: 0), Good(_seenSecond, late: 0));
        Assert.Equal(Condition.Working, result.Condition);
        Assert.Equal(["J1.2", "U3.18", "U4.18", "OK1.5", "Q1.C"], result.Path.Select(point => point.TestPoint));
        Assert.All(result.Path, point => Assert.Equal(PointState.Good, point.State));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(4)]
    [InlineData(6.5)]
    public void A_command_that_came_later_in_one_exercise_makes_nothing_behind_it_late(double late)
    {
        var together = Judge(Good(_seenFirst, late: 0), Good(_seenSecond, late));
        var isolator = together.Findings.First(finding => finding is { TestPoint: "OK1.5", Expected: Expectation.Falls or Expectation.Rises });
        // Good delays: the isolator answers 5.0 µs behind the buffer in front of it.
        Assert.InRange(isolator.Delay!.Value.ToSeconds() * 1e6, 5 - 1.4, 5 + 1.4);
        Assert.Equal(Condition.Working, together.Condition);
    }

    [Theory]
    [InlineData(0, 0)]
    [InlineData(0, 5.9)]
    [InlineData(6.1, 0.3)]
    public void The_interval_of_every_change_still_contains_its_true_instant(double lateFirst, double lateSecond)
    {
        ImmutableArray<Capture> captures = [Good(_seenFirst, lateFirst), Good(_seenSecond, lateSecond)];
        for (var reference = 0; reference < 2; reference++)
        {
            var joined = JoinedCapture.Onto(reference, _exercise, captures);
            var late = reference == 0 ? lateFirst : lateSecond;
            for (var stage = 0; stage < Some.GoodDelays.Length; stage++)
            {
                var signal = joined.Find(_exercise.Channel.Stages[stage].OutputName)!;
                var (on, off) = Some.GoodDelays[stage]!.Value;
                AssertContains(signal.Changes[0], _exercise.OnAt, late + on);
                AssertContains(signal.Changes[1], _exercise.OffAt, late + off);
            }
        }
    }

    [Fact]
    public void A_stage_that_fails_in_one_of_two_exercises_in_which_it_was_seen_is_intermittent()
    {
        var dead = Some.Capture(_exercise, Some.Signals(_exercise, (0.1, 0.1), (0.2, 0.2), null, null));
        var result = Judge(Good([0, 1, 2, 3], 0), dead);
        Assert.Equal(Condition.Intermittent, result.Condition);
        Assert.Contains("in 1 of 2 exercises", result.Summary, StringComparison.Ordinal);
        Assert.Equal(Condition.Dead, Judge(dead, dead).Condition);
    }

    [Fact]
    public void An_exercise_that_was_ended_early_leaves_the_channel_not_tested()
    {
        var stopped = Good(_seenSecond, 0) with { Ending = new(CaptureOutcome.HostByte, null) };
        Assert.Equal(Condition.NotTested, Judge(Good(_seenFirst, 0), stopped).Condition);
    }

    [Fact]
    public void A_capture_without_the_drive_line_is_a_mistake_of_ours()
    {
        var blind = Good(_seenFirst, 0);
        Assert.Throws<ArgumentException>(() => Judge(blind, blind with { Signals = blind.Signals.RemoveAt(0) }));
    }

    private static ChannelResult Judge(params Capture[] captures) =>
        ChannelJudge.Judge(Some.Board(), new(_exercise, [.. captures], ImmutableDictionary<string, LeadState>.Empty));

    /// <param name="late">By how much the device's steps came later than planned, in microseconds, both alike.</param>
    private static Capture Good(int[] stages, double late)
    {
        var all = Some.Signals(_exercise, Some.GoodDelays);
        var seen = stages.Select(stage => all[stage + 1]).Prepend(all[0]);
        return Some.Capture(_exercise, [.. seen.Select(signal => signal with { Changes = [.. signal.Changes.Select(change => Later(change, late))] })]);
    }

    private static Change Later(Change change, double microseconds)
    {
        var by = Duration.FromSeconds(microseconds * 1e-6);
        return change with { After = change.After + by, NotAfter = change.NotAfter + by };
    }

    /// <param name="after">Of the true instant, in microseconds after the planned edge.</param>
    private static void AssertContains(Change change, Duration planned, double after)
    {
        var truth = Instant.Start + planned + Duration.FromSeconds(after * 1e-6);
        Assert.True(change.After <= truth && truth <= change.NotAfter, $"({change.After}, {change.NotAfter}] does not contain {truth}");
    }
}
