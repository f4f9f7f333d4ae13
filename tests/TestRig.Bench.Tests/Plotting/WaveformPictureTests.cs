using TestRig.Bench.Plotting;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Plotting;

public class WaveformPictureTests
{
    private static readonly PictureHeading Heading = new(
        "Dome drive interface card", new(2026, 11, 25, 13, 24, 53, TimeSpan.FromHours(1)), Simulated: false);

    [Fact]
    public void Panels_come_in_path_order_with_the_command_on_top_and_feedback_last()
    {
        Assert.Equal(
            ["J1.6", "U3.14", "U4.14", "OK3.5", "Q3.C", "shutter-encoder", "home-switch"],
            Draw(DomeChannel.Healthy()).Panels.Select(panel => panel.Name));
    }

    [Fact]
    public void A_panel_says_what_its_point_is()
    {
        var picture = Draw(DomeChannel.Healthy());
        Assert.Equal("command, idle high", picture.Panels[0].What);
        Assert.Equal("OK3 4N25, output", Panel(picture, "OK3.5").What);
        Assert.Equal("feedback, pulses", Panel(picture, "shutter-encoder").What);
    }

    [Fact]
    public void The_picture_says_board_channel_condition_time_and_resolution()
    {
        var picture = Draw(DomeChannel.Healthy());
        Assert.Equal("Dome drive interface card", picture.Board);
        Assert.Equal("shutter-open", picture.Channel);
        Assert.Equal("working", picture.Condition);
        Assert.True(picture.Good);
        Assert.Equal("2026-11-25 13:24:53 +01:00  ·  adapter resolution 1.31 µs (tick 62.5 ns), clock ±0.5 %", picture.Origin);
    }

    [Fact]
    public void A_picture_of_points_that_were_seen_in_several_exercises_says_so() => Assert.EndsWith(
        "  ·  8 exercises laid over each other", Draw(DomeChannel.Healthy() with { Exercises = 8 }).Origin, StringComparison.Ordinal);

    [Fact]
    public void A_condition_of_two_words_is_two_words()
    {
        Assert.Equal("stuck low", Draw(DomeChannel.StuckBuffer()).Condition);
    }

    [Fact]
    public void A_working_channel_marks_nothing_as_wrong()
    {
        var picture = Draw(DomeChannel.Healthy());
        Assert.All(picture.Panels, panel => Assert.Null(panel.FirstWrong));
        Assert.All(picture.Panels.Take(5), panel => Assert.Equal(PanelStanding.AsExpected, panel.Standing));
        Assert.Equal("The command passes every stage from J1.6 to Q3.C.", picture.Headline);
    }

    [Fact]
    public void A_dead_isolator_is_named_in_the_headline_and_marked_where_its_fall_was_expected()
    {
        var picture = Draw(DomeChannel.DeadIsolator());
        Assert.Equal("Good as far as U4.14, then the command goes wrong in OK3 (4N25): OK3.5 does not fall.", picture.Headline);
        var panel = Panel(picture, "OK3.5");
        Assert.Equal(PanelStanding.FirstWrong, panel.Standing);
        Assert.Equal("does not fall", panel.FirstWrong!.Text);
        // Window: a tenth of 5 µs typical after U4.14, which follows the command by 21 ns.
        Assert.Equal(DomeChannel.On + Duration.FromNanoseconds(21 + 500), panel.FirstWrong.At);
        Assert.Single(picture.Panels, other => other.FirstWrong is not null);
    }

    [Fact]
    public void Behind_the_first_wrong_stage_a_point_says_that_no_change_arrives_and_not_that_it_is_wrong()
    {
        var panel = Panel(Draw(DomeChannel.DeadIsolator()), "Q3.C");
        Assert.Equal(PanelStanding.NothingArrives, panel.Standing);
        Assert.Equal("no change arrives", panel.StandingWords);
    }

    [Fact]
    public void Where_a_lead_is_missing_the_headline_names_every_part_between()
    {
        var picture = Draw(DomeChannel.DeadBehindAnOpenLead());
        Assert.Equal("Good as far as U3.14, then the command goes wrong in U4 (74LS240) or OK3 (4N25): OK3.5 does not fall.", picture.Headline);
        var open = Panel(picture, "U4.14");
        Assert.Null(open.Signal);
        Assert.Equal(PanelStanding.NoLead, open.Standing);
    }

    [Fact]
    public void A_late_transition_says_how_late_and_what_is_allowed()
    {
        var picture = Draw(DomeChannel.SlowIsolator());
        Assert.EndsWith("OK3.5 falls late.", picture.Headline, StringComparison.Ordinal);
        Assert.Equal("falls late: 40 µs", Panel(picture, "OK3.5").FirstWrong!.Text);
        Assert.Contains("falls late: 40 µs after U4.14 (500 ns to 10 µs)", Panel(picture, "OK3.5").Words);
    }

    [Fact]
    public void Expected_windows_lie_behind_their_cause_and_say_the_direction()
    {
        var windows = Panel(Draw(DomeChannel.Healthy()), "OK3.5").Windows;
        var cause = DomeChannel.On + Duration.FromNanoseconds(21);
        Assert.Equal(new ExpectedWindow(cause + Duration.FromNanoseconds(500), cause + Duration.FromMicroseconds(10), Level.Low, "falls"), windows[0]);
        Assert.Equal(Level.High, windows[1].ArrivesAt);
        Assert.Equal(2, windows.Length);
    }

    [Fact]
    public void A_delay_within_its_uncertainty_is_given_as_a_bound()
    {
        var picture = Draw(DomeChannel.Healthy());
        // 9 and 12 ns, and two intervals of 1.3125 µs: the delay can be 1.3215 or 1.3245 µs at most.
        Assert.All(Panel(picture, "U3.14").Delays, delay => Assert.Equal("< 1.32 µs", delay.Text));
        Assert.Equal(["5 µs", "100 µs"], Panel(picture, "OK3.5").Delays.Select(delay => delay.Text));
    }

    [Fact]
    public void Where_the_looks_are_far_apart_a_delay_is_no_better_known_than_they_are()
    {
        // Both changes within the same 10.5 µs between two looks, as around a step of the program: the delay can be 10.5 µs at most, whatever the resolution.
        var healthy = DomeChannel.Healthy();
        var width = Duration.FromNanoseconds(10_500);
        var wide = healthy.Findings.Select(finding => finding.TestPoint == "U3.14" && finding.Stage == 0
            ? finding with { ObservedAt = finding.CauseAt, Delay = Duration.Zero, StandardUncertainty = width.Scaled(1 / Math.Sqrt(6)), Measured = DomeChannel.Measured(finding.CauseAt!.Value, finding.CauseAt.Value, width) }
            : finding);
        var panel = Panel(Draw(healthy with { Findings = [.. wide] }), "U3.14");
        Assert.All(panel.Delays, delay => Assert.Equal("< 10.5 µs", delay.Text));
        Assert.StartsWith("rises < 10.5 µs after J1.6", panel.Words[0], StringComparison.Ordinal);
    }

    [Fact]
    public void The_view_of_an_edge_begins_before_the_look_before_it()
    {
        var healthy = DomeChannel.Healthy();
        var drive = healthy.Capture!.Find("J1.6")!;
        var wide = new Change(DomeChannel.On - Duration.FromMicroseconds(50), DomeChannel.On + Duration.FromMicroseconds(50), Level.Low);
        var capture = healthy.Capture with { Signals = healthy.Capture.Signals.Replace(drive, drive with { Changes = drive.Changes.SetItem(0, wide) }) };
        var view = Draw(healthy with { Capture = capture }).Views[1];
        Assert.True(view.From < wide.After && view.To > wide.NotAfter);
    }

    [Fact]
    public void An_open_lead_tells_to_check_the_lead_and_blames_no_part()
    {
        var result = DomeChannel.StuckBuffer() with { Condition = Condition.LeadOpen };
        Assert.Equal("Check the lead at U4.14 and sweep again before any part is touched.", Draw(result).Headline);
    }

    [Fact]
    public void A_level_that_was_read_in_a_gap_takes_no_view_from_the_edges()
    {
        var weak = DomeChannel.WeakBuffer();
        var level = weak.FirstFailure! with { ObservedAt = DomeChannel.At(10_200) };
        var picture = Draw(weak with { FirstFailure = level, Findings = weak.Findings.Replace(weak.FirstFailure!, level) });
        Assert.Equal("Command off: J1.6 rises", picture.Views[2].Title);
    }

    [Theory]
    [InlineData(3.41, "3.41 V high")]
    [InlineData(0.2, "200 mV low")]
    // 1.4 V lies between VIL 0.8 V and VIH 2.0 V of TTL (Tokyo Electron Device FAQ 4902 quoting TI SN74ALS1004, January 1995).
    [InlineData(1.4, "1.4 V undefined")]
    public void A_level_reading_is_written_with_its_class(double volts, string expected)
    {
        var healthy = DomeChannel.Healthy();
        var capture = healthy.Capture! with
        {
            Levels = [new("U3.14", DomeChannel.At(11_000), new(volts), new(volts), new(volts), 16, new(0.02))],
        };
        Assert.Equal(new LevelNote(DomeChannel.At(11_000), expected), Assert.Single(Panel(Draw(healthy with { Capture = capture }), "U3.14").Levels));
    }

    [Fact]
    public void A_weak_level_is_marked_where_it_was_read()
    {
        var panel = Panel(Draw(DomeChannel.WeakBuffer()), "U3.14");
        Assert.Equal(new WrongMark(DomeChannel.At(10_200), "is weak: 1.4 V"), panel.FirstWrong);
    }

    [Fact]
    public void The_whole_exercise_comes_first_and_then_both_edges_of_the_command_each_in_its_unit()
    {
        var views = Draw(DomeChannel.Healthy()).Views;
        Assert.Equal(["Whole exercise, 60 ms", "Command on: J1.6 falls", "Command off: J1.6 rises"], views.Select(view => view.Title));
        Assert.Equal(["ms since the start", "µs after J1.6 falls", "µs after J1.6 rises"], views.Select(view => view.AxisLabel));
        Assert.Equal((Instant.Start, DomeChannel.Millis(60)), (views[0].From, views[0].To));
    }

    [Fact]
    public void The_views_of_the_edges_show_every_transition_and_window_that_belongs_to_them()
    {
        var picture = Draw(DomeChannel.Healthy());
        foreach (var panel in picture.Panels.Take(5))
        {
            foreach (var window in panel.Windows)
            {
                var view = picture.Views[window.From < DomeChannel.Off ? 1 : 2];
                Assert.True(view.Contains(window.From) && view.Contains(window.To), $"{panel.Name}: {window} outside {view}");
            }
            foreach (var change in panel.Signal!.Changes)
                Assert.Contains(picture.Views.Skip(1), view => view.Contains(change.After) && view.Contains(change.NotAfter));
        }
    }

    [Fact]
    public void A_fault_far_from_both_edges_takes_the_third_view()
    {
        var picture = Draw(DomeChannel.BouncingHomeSwitch());
        var view = picture.Views[2];
        Assert.Equal("First wrong: home-switch", view.Title);
        Assert.Equal("ms after the first wrong transition", view.AxisLabel);
        Assert.All(Panel(picture, "home-switch").Signal!.Changes, change => Assert.True(view.Contains(change.NotAfter)));
        Assert.StartsWith("The command passes every stage, but feedback home-switch bounces", picture.Headline, StringComparison.Ordinal);
    }

    [Fact]
    public void A_repeated_command_is_shown_where_it_went_wrong()
    {
        // Two commands; the second is the one that OK3.5 misses.
        var healthy = DomeChannel.Healthy();
        var second = DomeChannel.Millis(50);
        var drive = healthy.Capture!.Find("J1.6")!;
        var capture = healthy.Capture with
        {
            Signals = healthy.Capture.Signals.Replace(
                drive, drive with { Changes = drive.Changes.Add(DomeChannel.Seen(second, Level.Low)).Add(DomeChannel.Seen(DomeChannel.Millis(55), Level.High)) }),
        };
        var template = healthy.Findings.First(finding => finding is { TestPoint: "OK3.5", Expected: Expectation.Falls });
        var missed = template with { Verdict = Verdict.Absent, CauseAt = second + DomeChannel.Resolution, ObservedAt = null, Delay = null };
        var result = healthy with
        {
            Capture = capture,
            Findings = healthy.Findings.Add(missed),
            FirstFailure = missed,
            Condition = Condition.Intermittent,
        };
        Assert.True(Draw(result).Views[1].Contains(second));
        Assert.Contains("does not fall after U4.14 (one of 2)", Panel(Draw(result), "OK3.5").Words);
    }

    [Fact]
    public void A_point_off_the_path_gets_a_panel_only_when_something_is_wrong_there()
    {
        var healthy = DomeChannel.Healthy();
        var quiet = healthy.Findings[0] with
        {
            TestPoint = "U3.16",
            Stage = null,
            Expected = Expectation.Quiet,
            Verdict = Verdict.Conforms,
            Cause = null,
            CauseAt = null,
            ObservedAt = null,
            Delay = null,
        };
        Assert.DoesNotContain(Draw(healthy with { Findings = healthy.Findings.Add(quiet) }).Panels, panel => panel.Name == "U3.16");

        var moves = quiet with { Verdict = Verdict.Extra, ObservedAt = DomeChannel.On };
        var picture = Draw(healthy with { Findings = healthy.Findings.Add(moves), FirstFailure = moves, Condition = Condition.Crossed });
        Assert.Equal("U3.16", picture.Panels[^1].Name);
        Assert.Equal("moves uncommanded", picture.Panels[^1].FirstWrong!.Text);
    }

    [Fact]
    public void What_the_adapter_could_not_tell_is_not_called_wrong()
    {
        var healthy = DomeChannel.Healthy();
        var unclear = healthy.Findings.First(finding => finding.TestPoint == "OK3.5") with { Verdict = Verdict.NotResolved };
        var picture = Draw(healthy with
        {
            Condition = Condition.NotTested,
            Summary = "Not tested: OK3.5 changed while voltages were read.",
            FirstFailure = unclear,
            Findings = [.. healthy.Findings.Where(finding => finding.TestPoint != "OK3.5"), unclear],
        });
        Assert.Equal("Not tested: OK3.5 changed while voltages were read.", picture.Headline);
        Assert.Equal(PanelStanding.NotJudged, Panel(picture, "OK3.5").Standing);
        Assert.All(picture.Panels, panel => Assert.Null(panel.FirstWrong));
    }

    [Fact]
    public void A_channel_that_was_not_exercised_has_no_picture()
    {
        var error = Assert.Throws<ArgumentException>(() => Draw(DomeChannel.Healthy() with { Capture = null }));
        Assert.Contains("shutter-open was not exercised", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void An_exercise_ended_by_a_stop_input_says_so()
    {
        var healthy = DomeChannel.Healthy();
        var picture = Draw(healthy with { Capture = healthy.Capture! with { Ending = new(CaptureOutcome.StopInput, "D47") } });
        Assert.EndsWith("ended early by stop input D47", picture.Origin, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1_900, "ns")]
    [InlineData(2_000, "µs")]
    [InlineData(1_999_999, "µs")]
    [InlineData(60_000_000, "ms")]
    [InlineData(3_000_000_000, "s")]
    public void The_time_axis_takes_the_unit_that_fits_its_length(long nanoseconds, string unit)
    {
        Assert.Equal(unit, TimeUnit.For(Duration.FromNanoseconds(nanoseconds)).Symbol);
    }

    private static WaveformPicture Draw(ChannelResult result) => WaveformPicture.Of(result, Heading);

    private static Panel Panel(WaveformPicture picture, string name) => Assert.Single(picture.Panels, panel => panel.Name == name);
}
