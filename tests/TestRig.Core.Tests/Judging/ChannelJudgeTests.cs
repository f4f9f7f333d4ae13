using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests.Judging;

public class ChannelJudgeTests
{
    private readonly Exercise _exercise = Some.Exercise(Some.Board().Channels[0]);

    [Fact]
    public void A_good_channel_is_working_and_its_nanosecond_delays_are_not_resolved()
    {
        var result = Some.Judge(_exercise, Some.Signals(_exercise, Some.GoodDelays));
        Assert.Equal(Condition.Working, result.Condition);
        Assert.All(result.Findings.Where(finding => finding.TestPoint.StartsWith('U')), finding => Assert.Equal(Timing.NotResolved, finding.Timing));
        Assert.All(result.Findings.Where(finding => finding.TestPoint.StartsWith("OK", StringComparison.Ordinal)), finding => Assert.Equal(Timing.Conforms, finding.Timing));
    }

    [Fact]
    public void What_answers_a_command_is_not_placed_before_it_however_wide_the_look_around_the_command()
    {
        // Around a step the adapter's looks may lie 11 µs apart. The look that sees the line comes 2 µs after the step.
        var signals = Some.Signals(_exercise, [.. Some.GoodDelays.Select(delay => ((double On, double Off)?)(delay!.Value.On + 2, delay.Value.Off + 2))]);
        var onMicroseconds = _exercise.OnAt.ToSeconds() * 1e6;
        for (var i = 0; i <= 2; i++)
            signals[i] = signals[i] with { Changes = [Some.Change(onMicroseconds + 2, signals[i].Changes[0].Level, look: 11), signals[i].Changes[1]] };
        var result = Some.Judge(_exercise, signals);
        Assert.All(["J1.2", "U3.18", "U4.18"], point => Assert.Equal(Duration.FromMicroseconds(2), result.Capture!.Find(point)!.Changes[0].Width));
        var isolator = result.Findings.First(finding => finding.TestPoint == "OK1.5");
        Assert.Equal(Timing.Conforms, isolator.Timing);
        // 2 µs and 1.3 µs, each uniform: √((2² + 1.3²) / 12) µs, and the clock's 0.5 % of 6 µs.
        Assert.InRange(isolator.StandardUncertainty!.Value.ToSeconds(), 0.65e-6, 0.75e-6);
    }

    [Fact]
    public void A_dead_isolator_is_named_and_the_stages_in_front_of_it_are_not()
    {
        var result = Some.Judge(_exercise, Some.Signals(_exercise, (0.1, 0.1), (0.2, 0.2), null, null));
        Assert.Equal(Condition.Dead, result.Condition);
        Assert.Equal("OK1.5", result.FirstFailure?.TestPoint);
    }

    [Fact]
    public void A_logic_output_that_never_moves_is_stuck_at_its_level()
    {
        var result = Some.Judge(_exercise, Some.Signals(_exercise, null, null, null, null));
        Assert.Equal(Condition.StuckLow, result.Condition); // U3.18 idles low behind a line that idles high
        Assert.Equal("U3.18", result.FirstFailure?.TestPoint);
    }

    [Fact]
    public void A_driver_that_conducts_all_the_time_is_stuck_high()
    {
        var signals = Some.Signals(_exercise, Some.GoodDelays);
        signals[4] = new("Q1.C", Level.High, []);
        var result = Some.Judge(_exercise, signals);
        Assert.Equal(Condition.StuckHigh, result.Condition);
    }

    [Fact]
    public void An_isolator_three_times_too_slow_is_slow_and_the_driver_behind_it_is_not_blamed()
    {
        var result = Some.Judge(_exercise, Some.Signals(_exercise, (0.1, 0.1), (0.2, 0.2), (15.2, 315.2), (20.2, 330.2)));
        Assert.Equal(Condition.Slow, result.Condition);
        Assert.Equal("OK1.5", result.FirstFailure?.TestPoint);
        Assert.All(result.Findings.Where(finding => finding.TestPoint == "Q1.C"), finding => Assert.Equal(Verdict.Conforms, finding.Verdict));
    }

    [Fact]
    public void A_section_that_does_not_invert_is_inverted_and_not_the_ones_that_follow_it()
    {
        var signals = Some.Signals(_exercise, Some.GoodDelays);
        for (var i = 1; i < signals.Length; i++)
            signals[i] = new(signals[i].Name, signals[i].Initial.Inverted(), [.. signals[i].Changes.Select(change => change with { Level = change.Level.Inverted() })]);
        var result = Some.Judge(_exercise, signals);
        Assert.Equal(Condition.Inverted, result.Condition);
        Assert.Equal("U3.18", result.FirstFailure?.TestPoint);
    }

    [Fact]
    public void A_silent_point_in_front_of_one_that_answers_has_an_open_lead()
    {
        var result = Some.Judge(_exercise, Some.Signals(_exercise, (0.1, 0.1), null, (5.2, 105.2), (10.2, 120.2)));
        Assert.Equal(Condition.LeadOpen, result.Condition);
        Assert.Equal("U4.18", result.FirstFailure?.TestPoint);
    }

    [Fact]
    public void A_level_in_the_undefined_region_is_weak_even_where_the_input_saw_the_transition()
    {
        var signals = Some.Signals(_exercise, Some.GoodDelays);
        var capture = Some.Capture(_exercise, signals) with
        {
            Levels = [new("U3.18", Instant.Start + _exercise.OnAt + Duration.FromMilliseconds(10), new(1.4), new(1.3), new(1.5), 8, new(0.04))],
        };
        var result = ChannelJudge.Judge(Some.Board(), new(_exercise, [capture], ImmutableDictionary<string, LeadState>.Empty));
        Assert.Equal(Condition.Weak, result.Condition);
        Assert.Contains("1.4 V", result.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void A_transition_that_may_hide_in_a_gap_makes_the_channel_not_tested()
    {
        var signals = Some.Signals(_exercise, (0.1, 0.1), (0.2, 0.2), null, null);
        var capture = Some.Capture(_exercise, signals) with
        {
            Gaps = [new(Instant.Start + _exercise.OnAt + Duration.FromMilliseconds(1), Some.EndOf(_exercise), GapReason.NoRoomForChanges)],
        };
        var result = ChannelJudge.Judge(Some.Board(), new(_exercise, [capture], ImmutableDictionary<string, LeadState>.Empty));
        Assert.Equal(Condition.NotTested, result.Condition);
    }

    [Fact]
    public void An_answer_at_another_channels_points_is_crossed()
    {
        var other = Some.Board().Channels[1];
        var signals = Some.Signals(_exercise, (0.1, 0.1), (0.2, 0.2), null, null)
            .Append(new Signal("OK2.5", other.LevelAfter(2, other.Line.Idle), [Some.Change(_exercise.OnAt.ToSeconds() * 1e6 + 5, Level.Low)]));
        Assert.Equal(Condition.Crossed, Some.Judge(_exercise, [.. signals]).Condition);
    }

    [Fact]
    public void An_exercise_that_was_ended_early_is_not_tested()
    {
        var capture = Some.Capture(_exercise, Some.Signals(_exercise, Some.GoodDelays)) with { Ending = new(CaptureOutcome.HostByte, null) };
        var result = ChannelJudge.Judge(Some.Board(), new(_exercise, [capture], ImmutableDictionary<string, LeadState>.Empty));
        Assert.Equal(Condition.NotTested, result.Condition);
    }

    [Fact]
    public void A_last_stage_that_nothing_watches_is_never_working()
    {
        var result = Some.Judge(_exercise, Some.Signals(_exercise, Some.GoodDelays)[..^1]);
        Assert.Equal(Condition.NotTested, result.Condition);
        Assert.Contains("Q1.C", result.Summary, StringComparison.Ordinal);
    }
}
