using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests.Judging;

/// <summary>Every way in which a channel may look good although something was not measured, or was measured and is bad.</summary>
public class NothingUnmeasuredIsWorkingTests
{
    private readonly Exercise _exercise = Some.Exercise(Some.Board().Channels[0]);

    private Signal[] Good => Some.Signals(_exercise, Some.GoodDelays);

    private Capture GoodCapture => Some.Capture(_exercise, Good);

    private ChannelResult Judge(Capture capture) => Some.Judge(Some.Board(), _exercise, capture);

    private LevelReading Reading(string point, double volts, double millisecondsAfterOn) => new(
        point, Instant.Start + _exercise.OnAt + Duration.FromSeconds(millisecondsAfterOn * 1e-3), new(volts), new(volts), new(volts), 8, new(0.04));

    [Fact]
    public void A_level_opposite_to_the_transition_is_weak()
    {
        var result = Judge(GoodCapture with { Levels = [Reading("U3.18", 0.3, 50)] });
        Assert.Equal(Condition.Weak, result.Condition);
        Assert.Equal("U3.18 should be high; it reads 300 mV.", result.Summary);
    }

    [Fact]
    public void A_level_too_near_to_a_limit_is_not_tested()
    {
        var result = Judge(GoodCapture with { Levels = [Reading("U3.18", 2.02, 50)] });
        Assert.Equal(Condition.NotTested, result.Condition);
        Assert.Contains("too near to a limit", result.Summary, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1.2)] // undefined
    [InlineData(0.3)] // low, and should be high
    [InlineData(3.4)] // as it should be
    public void A_voltage_that_a_late_computer_may_have_read_before_it_settled_is_not_judged(double volts)
    {
        // It was late for the command, and read what was due by then at once.
        var late = new Gap(Instant.Start + _exercise.OnAt - Duration.FromMilliseconds(1), Instant.Start + _exercise.OnAt + Duration.FromMilliseconds(49), GapReason.HostLate);
        var result = Judge(GoodCapture with { Levels = [Reading("U3.18", volts, 50)], Gaps = [late] });
        Assert.Equal(Condition.NotTested, result.Condition);
        Assert.Contains("late", result.Summary, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(true, true, Condition.Working)]
    [InlineData(true, false, Condition.NotTested)]
    [InlineData(false, true, Condition.NotTested)]
    public void A_planned_reading_that_did_not_come_is_not_tested(bool whileOn, bool whileOff, Condition expected)
    {
        var exercise = Some.Exercise(Some.Board().Channels[0], ExerciseMode.LogicOnly, "A1");
        Assert.Equal(2, exercise.Readings.Length);
        var readings = exercise.Readings.Select(step => step.At >= exercise.OffAt ? (Kept: whileOff, Volts: 0.3, step.At) : (Kept: whileOn, Volts: 3.4, step.At));
        var capture = Some.Capture(exercise, Some.Signals(exercise, Some.GoodDelays)) with
        {
            Levels = [.. readings.Where(reading => reading.Kept)
                .Select(reading => new LevelReading("U3.18", Instant.Start + reading.At, new(reading.Volts), new(reading.Volts), new(reading.Volts), 8, new(0.04)))],
        };
        Assert.Equal(expected, Some.Judge(Some.Board(), exercise, capture).Condition);
    }

    [Fact]
    public void A_memory_full_behind_the_last_transition_is_not_tested()
    {
        var from = Instant.Start + _exercise.OffAt + Duration.FromMilliseconds(1);
        var result = Judge(GoodCapture with { Gaps = [new(from, GoodCapture.End, GapReason.NoRoomForChanges)] });
        Assert.Equal(Condition.NotTested, result.Condition);
        Assert.Contains("memory for changes was full", result.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void A_memory_full_before_the_command_blames_neither_line_nor_adapter_but_names_what_filled_it()
    {
        var signals = Some.Signals(_exercise, null, null, null, null);
        signals[0] = new("J1.2", Level.High, []);
        var chatter = Enumerable.Range(0, 400).Select(i => Some.Change(100 + (10 * i), i % 2 == 0 ? Level.High : Level.Low));
        var capture = Some.Capture(_exercise, [.. signals, new("Q2.C", Level.Low, [.. chatter])]);
        var result = Judge(capture with { Gaps = [new(Some.At(4200), capture.End, GapReason.NoRoomForChanges)] });
        Assert.Equal(Condition.NotTested, result.Condition);
        Assert.Contains("Q2.C of channel move-2 changed 400 times, and began before anything was commanded", result.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void A_point_that_moves_before_the_command_does_not_settle()
    {
        var signals = Good;
        signals[3] = signals[3] with { Changes = [Some.Change(100, Level.Low), Some.Change(200, Level.High), .. signals[3].Changes] };
        var result = Judge(Some.Capture(_exercise, signals));
        Assert.Equal(Condition.Bouncing, result.Condition);
        Assert.Contains("OK1.5 changed 2 times before anything was commanded", result.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void What_bounced_before_the_memory_was_full_bounces()
    {
        var on = _exercise.OnAt.ToSeconds() * 1e6;
        var signals = Good;
        signals[3] = new("OK1.5", Level.High, [.. Enumerable.Range(0, 9).Select(i => Some.Change(on + 5 + (10 * i), i % 2 == 0 ? Level.Low : Level.High))]);
        var capture = Some.Capture(_exercise, signals);
        var result = Judge(capture with { Gaps = [new(Some.At(on + 100), capture.End, GapReason.NoRoomForChanges)] });
        Assert.Equal(Condition.Bouncing, result.Condition);
        Assert.Equal("OK1.5", result.FirstFailure?.TestPoint);
    }

    [Fact]
    public void A_line_that_does_not_come_back_is_stuck_at_its_active_level()
    {
        var signals = Good;
        signals[0] = signals[0] with { Changes = [signals[0].Changes[0]] };
        var result = Judge(Some.Capture(_exercise, signals));
        Assert.Equal(Condition.StuckLow, result.Condition);
        Assert.Contains("did not go high", result.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void A_line_that_chatters_is_bouncing()
    {
        var signals = Good;
        var off = _exercise.OffAt.ToSeconds() * 1e6;
        signals[0] = signals[0] with { Changes = [.. signals[0].Changes, Some.Change(off + 500, Level.Low), Some.Change(off + 600, Level.High)] };
        var result = Judge(Some.Capture(_exercise, signals));
        Assert.Equal(Condition.Bouncing, result.Condition);
        Assert.Contains("J1.2 changed 4 times for one command", result.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void An_unwatched_stage_in_between_is_said()
    {
        var result = Judge(Some.Capture(_exercise, [.. Good.Where(signal => signal.Name != "U4.18")]));
        Assert.Equal(Condition.Working, result.Condition);
        Assert.Equal("The last stage responds, so all 4 pass the command; nothing watches U4.18. No voltage was read.", result.Summary);
    }

    [Fact]
    public void A_delay_over_an_unwatched_stage_is_judged_against_the_sum()
    {
        // Isolator 10 µs and driver 10 µs at most (twice the typical figures of Some): 15 µs is good for both together, late for either.
        var signals = Some.Signals(_exercise, (0.1, 0.1), (0.2, 0.2), (5.2, 105.2), (15.2, 120.2));
        Assert.Equal(Condition.Working, Judge(Some.Capture(_exercise, [.. signals.Where(signal => signal.Name != "OK1.5")])).Condition);
        var late = Some.Signals(_exercise, (0.1, 0.1), (0.2, 0.2), (5.2, 105.2), (25.2, 120.2));
        Assert.Equal(Condition.Slow, Judge(Some.Capture(_exercise, [.. late.Where(signal => signal.Name != "OK1.5")])).Condition);
    }

    [Fact]
    public void In_motion_mode_a_channel_that_nothing_counts_does_not_claim_that_it_moved()
    {
        var exercise = Some.Exercise(Some.Board().Channels[0], ExerciseMode.Motion);
        var result = Some.Judge(Some.Board(), exercise, Some.Capture(exercise, Some.Signals(exercise, Some.GoodDelays)));
        Assert.Equal(Condition.Working, result.Condition);
        Assert.Contains("whether it moved was not judged", result.Summary, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("D13", Condition.Working, "home was not actuated")]
    [InlineData(null, Condition.NotTested, "no lead there")]
    public void A_switch_that_the_motion_did_not_reach_is_said_and_one_without_a_lead_is_not_tested(string? pin, Condition expected, string words)
    {
        var channel = Some.Channel(1) with { Feedback = [new SwitchFeedback(new("home", pin, null, null), 10, Duration.FromMilliseconds(5))] };
        var board = Some.Board() with { Channels = [channel] };
        var exercise = Some.Exercise(channel, ExerciseMode.Motion);
        Signal[] home = pin is null ? [] : [new("home", Level.High, [])];
        var result = Some.Judge(board, exercise, Some.Capture(exercise, [.. Some.Signals(exercise, Some.GoodDelays), .. home]));
        Assert.Equal(expected, result.Condition);
        Assert.Contains(words, result.Summary, StringComparison.Ordinal);
        Assert.DoesNotContain(result.Findings, finding => finding.Expected == Expectation.Settles && finding.Verdict == Verdict.Conforms);
    }

    [Fact]
    public void The_end_of_travel_makes_a_channel_not_tested_and_says_what_to_do()
    {
        var result = Judge(GoodCapture with { Ending = new(CaptureOutcome.StopInput, "limit-left") });
        Assert.Equal(Condition.NotTested, result.Condition);
        Assert.Contains("limit-left", result.Summary, StringComparison.Ordinal);
        Assert.Contains("move it away and sweep again", result.Summary, StringComparison.Ordinal);
    }

    /// <summary>A contactor alone takes 5 to 20 ms to pull in (common practice): what stops the line within microseconds of its command was not reached by moving.</summary>
    [Theory]
    [InlineData(25, true, Condition.Crossed, "no end of travel")]
    [InlineData(900, true, Condition.Crossed, "no end of travel")]
    [InlineData(1_100, true, Condition.NotTested, "move it away and sweep again")]
    [InlineData(25, false, Condition.NotTested, "move it away and sweep again")] // an emergency stop may be pressed at any instant
    public void A_limit_switch_that_stops_a_line_sooner_than_anything_moves_answers_the_command(double afterMicroseconds, bool isLimit, Condition expected, string words)
    {
        var channel = Some.Channel(1);
        var limit = Some.Point("limit-left", "D20");
        var board = Some.Board() with { Channels = [channel], Stops = [new(limit, Level.Low, [channel.Line], isLimit)] };
        board = board with { TestPoints = [.. board.TestPoints, limit] };
        var exercise = Some.Exercise(channel, ExerciseMode.Motion);
        Signal stopping = new(limit.Name, Level.High, [Some.Change((exercise.OnAt.ToSeconds() * 1e6) + afterMicroseconds, Level.Low)]);
        var capture = Some.Capture(exercise, [.. Some.Signals(exercise, Some.GoodDelays), stopping]) with { Ending = new(CaptureOutcome.StopInput, limit.Name) };
        var result = Some.Judge(board, exercise, capture);
        Assert.Equal(expected, result.Condition);
        Assert.Contains(words, result.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void A_floating_pin_has_no_level_of_its_own()
    {
        // An open lead without divider floats: its voltage may be anything, and must not make a weak buffer of it.
        var signals = Some.Signals(_exercise, null, (0.2, 0.2), (5.2, 105.2), (10.2, 120.2));
        var capture = Some.Capture(_exercise, signals) with { Levels = [Reading("U3.18", 1.4, 50)] };
        var result = Some.Judge(Some.Board(), _exercise, capture, ("U3.18", LeadState.Follows));
        Assert.Equal(Condition.LeadOpen, result.Condition);
        Assert.Equal(Condition.Weak, Some.Judge(Some.Board(), _exercise, capture, ("U3.18", LeadState.Driven)).Condition);
    }

    [Fact]
    public void A_contrary_reading_in_front_of_a_point_that_answers_is_a_lead_clipped_elsewhere()
    {
        var signals = Good;
        signals[2] = signals[1] with { Name = "U4.18" };
        var result = Judge(Some.Capture(_exercise, signals));
        Assert.Equal(Condition.LeadOpen, result.Condition);
        Assert.Contains("U4.18", result.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void An_output_at_its_commanded_level_all_the_time_is_said_to_have_been_there_before()
    {
        var signals = Good;
        signals[1] = new("U3.18", Level.High, []);
        signals[2] = new("U4.18", Level.Low, []);
        signals[3] = new("OK1.5", Level.Low, []);
        signals[4] = new("Q1.C", Level.High, []);
        Assert.Equal("U3.18 should have gone high only after J1.2; it was high before and stayed so.", Judge(Some.Capture(_exercise, signals)).Summary);
    }

    [Fact]
    public void A_line_that_idles_low_and_a_single_stage_that_does_not_invert()
    {
        var buffer = Some.Buffer with { Name = "buffer", Inverting = false };
        var part = new BufferPart("U9", buffer, Some.Logic);
        var line = new Line("lamp", "D40", Level.Low, false, Duration.FromMilliseconds(500), Duration.Zero, "pull-down");
        var channel = new Channel("lamp", line, Some.Point("J1.40", "D40"), [StageModel.Of(part, buffer.Sections[0], Some.Point("U9.18", "A9"))], [], Duration.FromMilliseconds(100), null);
        var board = Some.Board() with { Channels = [channel], Parts = [part], Lines = [line] };
        var exercise = Some.Exercise(channel);
        var good = Some.Judge(board, exercise, Some.Capture(exercise, Some.Signals(exercise, (0.1, 0.1))));
        Assert.Equal(Condition.Working, good.Condition);
        Assert.Equal("The only stage responds. No voltage was read.", good.Summary);
        Assert.Equal(Expectation.Rises, good.Findings.First(finding => finding.Stage == 0).Expected);
        Assert.Equal(Condition.StuckLow, Some.Judge(board, exercise, Some.Capture(exercise, Some.Signals(exercise, [null]))).Condition);
    }

    [Fact]
    public void An_isolator_taken_at_its_emitter_rises_when_lit()
    {
        var stage = StageModel.Of(new IsolatorPart("OK9", Some.Isolator, Some.Logic, new(220), Some.Isolated, new(1_000), false), Some.Point("OK9.4", "A9"));
        // The stage in front sinks the LED: low is lit, and a lit emitter output is high.
        Assert.True(stage.Inverting);
        Assert.Equal("OK9.4", stage.OutputName);
        // On 3 µs (and 0.2 ns/ohm × 1 kohm), off 5 µs (and 10 ns/ohm × 1 kohm): lit is the rise.
        Assert.True(stage.Rise.Latest < stage.Fall.Latest);
    }

    [Fact]
    public void A_change_in_the_look_that_saw_the_end_of_the_command_belongs_to_the_command()
    {
        var signal = new Signal("U3.18", Level.Low, [Some.Change(10, Level.High), Some.Change(20, Level.Low)]);
        var on = TestRig.Core.Measuring.Arrival.Of(signal, Some.At(5), Some.At(20));
        var off = TestRig.Core.Measuring.Arrival.Of(signal, Some.At(20), Some.At(40));
        Assert.Equal(2, on.Changes.Length);
        Assert.Equal(Level.Low, off.Before);
        Assert.Empty(off.Changes);
    }
}
