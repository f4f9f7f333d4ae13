using TestRig.Bench.Exercising;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Adapters.Gpio;

/// <summary>A whole sweep through pins that the computer times, in virtual time.</summary>
public class GpioSweepTests
{
    [Fact]
    public async Task Healthy_card_works_and_every_delay_carries_an_interval_that_holds_the_truth()
    {
        var card = new LampCard();
        var result = await card.SweepAsync();
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        Assert.All(result.Channels, channel => Assert.Equal(Condition.Working, channel.Condition));
        var findings = result.Channels[0].Findings;
        // The driver's 2 µs (chosen in LampCard) lies within what is said of it; so does the buffer's 12 ns.
        AssertHolds(findings, "Q1.C", Duration.FromMicroseconds(2));
        AssertHolds(findings, "U1.18", Duration.FromNanoseconds(12));
        Assert.All(findings.Where(finding => finding.Timing is not null), finding => Assert.NotEqual(Timing.Violates, finding.Timing));
        Assert.Contains(result.Checks, check => check is { Name: "leads", Good: true, Made: true, Words: "4 driven" });
    }

    private static void AssertHolds(IEnumerable<Finding> findings, string point, Duration truth)
    {
        var judged = findings.Where(finding => finding.TestPoint == point && finding.Delay is not null).ToList();
        Assert.Equal(2, judged.Count);
        Assert.All(judged, finding =>
        {
            // The whole interval, not twice the standard uncertainty: two uniform ones in a sum reach √6 of it (JCGM 100:2008 4.3.7).
            var half = finding.StandardUncertainty!.Value.Scaled(2.45);
            Assert.InRange(truth.Picoseconds, (finding.Delay!.Value - half).Picoseconds, (finding.Delay.Value + half).Picoseconds);
        });
    }

    [Fact]
    public async Task Every_change_lies_between_the_looks_around_it()
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        var run = await adapter.RunAsync(Pulse(100), CancellationToken.None);
        // Resolution is what the looks took, six pins of 10 µs each (FakePins): two looks at most from one to the next, one more, and four for a step.
        Assert.Equal(Duration.FromMicroseconds(7 * 6 * 10), run.Capture.Resolution);
        var drive = run.Capture.Find("GPIO2")!;
        var answer = run.Capture.Find("GPIO10")!;
        Assert.Equal([Level.High, Level.Low], drive.Changes.Select(change => change.Level));
        Assert.Equal([Level.Low, Level.High], answer.Changes.Select(change => change.Level));
        var written = Duration.FromMilliseconds(10);
        Assert.All(drive.Changes.Concat(answer.Changes), change => Assert.True(change.Width <= run.Capture.Resolution, $"{change.Width}"));
        // No line is ever seen to change before it was told: the program says when that was, and a step is never early.
        Assert.True(drive.Changes[0].After.SinceStart >= written);
        Assert.InRange(drive.Changes[0].NotAfter.SinceStart.Picoseconds, written.Picoseconds, (written + run.Capture.Resolution).Picoseconds);
        Assert.True(answer.Changes[0].NotAfter.SinceStart >= written + Duration.FromMicroseconds(2));
        Assert.Empty(run.Capture.Gaps);
    }

    [Fact]
    public async Task Lateness_of_looks_and_steps_is_recorded()
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        var late = false;
        card.Pins.BeforeRead = _ =>
        {
            // Just before the line is due to go off.
            if (!late && card.Pins.IsOutput(LampCard.Line1) && card.Pins.Driven(LampCard.Line1))
            {
                card.Clock.Pass(120 * VirtualClock.Millisecond);
                late = true;
            }
        };
        var timing = (await adapter.RunAsync(Pulse(100), CancellationToken.None)).Capture.HostTiming!;
        Assert.Equal(2, timing.StepLateness.Length);
        Assert.True(timing.StepLateness[0] < Duration.FromMicroseconds(1));
        Assert.InRange(timing.StepLateness[1].Picoseconds, 20 * VirtualClock.Millisecond, 21 * VirtualClock.Millisecond);
        // The late look, and the one behind it: nothing tells at which of its ends the late one read a pin.
        Assert.Equal(2, timing.LateLooks);
        Assert.InRange(timing.LongestWidth.Picoseconds, 120 * VirtualClock.Millisecond, 121 * VirtualClock.Millisecond);
        Assert.InRange(timing.Looks, 100, 2000);
    }

    [Theory]
    [InlineData("Q1 never conducts", Condition.Dead)]
    [InlineData("U1.18 stays low", Condition.StuckLow)]
    [InlineData("U1.18 follows the other line", Condition.StuckLow)]
    [InlineData("Q1 is slow", Condition.Slow)]
    [InlineData("U1 inverts", Condition.Inverted)]
    public async Task Faulty_card_is_judged_by_its_fault_and_the_other_channel_works(string fault, Condition expected)
    {
        var card = new LampCard();
        Break(card, fault);
        var result = await card.SweepAsync();
        Assert.Equal(expected, result.Channels[0].Condition);
        if (fault != "U1.18 follows the other line")
            Assert.Equal(Condition.Working, result.Channels[1].Condition);
    }

    private static void Break(LampCard card, string fault)
    {
        switch (fault)
        {
            case "Q1 never conducts":
                card.Pins.Card[LampCard.Driver1] = (_, _) => true;
                break;
            case "U1.18 stays low":
                card.Pins.Card[LampCard.Buffer1] = (_, _) => false;
                card.Pins.Card[LampCard.Driver1] = (_, _) => true;
                break;
            case "U1.18 follows the other line":
                card.Pins.Card[LampCard.Buffer1] = (at, line) => line(LampCard.Line2, at);
                card.Pins.Card[LampCard.Driver1] = (at, line) => !line(LampCard.Line2, at);
                break;
            case "Q1 is slow":
                card.Pins.Card[LampCard.Driver1] = (at, line) => !line(LampCard.Line1, at - (3 * VirtualClock.Millisecond));
                break;
            case "U1 inverts":
                card.Pins.Card[LampCard.Buffer1] = (at, line) => !line(LampCard.Line1, at);
                card.Pins.Card[LampCard.Driver1] = (at, line) => line(LampCard.Line1, at);
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(fault), fault, "Unknown.");
        }
    }

    /// <summary>The computer does something else for 30 ms in each exercise, at any look while the line is on.</summary>
    [Theory]
    [InlineData("healthy", 1)]
    [InlineData("healthy", 7)]
    [InlineData("healthy", 200)]
    [InlineData("dead", 1)]
    [InlineData("dead", 7)]
    [InlineData("dead", 200)]
    public async Task A_late_look_leaves_the_channel_unresolved_neither_working_nor_faulty(string card, int atLook)
    {
        var lamps = new LampCard();
        if (card == "dead")
            Break(lamps, "Q1 never conducts");
        await using var adapter = lamps.Open();
        var looksWhileOn = 0L;
        lamps.Pins.BeforeRead = _ =>
        {
            var on = new[] { LampCard.Line1, LampCard.Line2 }.Any(line => lamps.Pins.IsOutput(line) && lamps.Pins.Driven(line));
            looksWhileOn = on ? looksWhileOn + 1 : 0;
            if (looksWhileOn == atLook * 6L)
                lamps.Clock.Pass(30 * VirtualClock.Millisecond);
        };
        var result = await new Sweep(lamps.Board, adapter, new(ExerciseMode.LogicOnly, true, false), TimeProvider.System, Serilog.Core.Logger.None)
            .RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        Assert.All(result.Channels, channel =>
        {
            Assert.Contains(channel.Capture!.Gaps, gap => gap.Reason == GapReason.HostLate);
            Assert.Equal(Condition.NotTested, channel.Condition);
            Assert.Contains("late", channel.Summary, StringComparison.Ordinal);
        });
        Assert.False(result.AnyFaulty);
        Assert.True(result.Incomplete);
    }

    [Fact]
    public async Task A_lead_that_the_adapter_cannot_check_is_not_called_open_nor_whole()
    {
        var card = new LampCard(hasPulls: false);
        await using var adapter = card.Open();
        var result = await new LeadCheck(card.Board, adapter, motorOffConfirmed: true).RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        Assert.All(result.Leads.Values, lead => Assert.Equal(FoundState.NotTold, lead.State));
        Assert.Contains("cannot check the lead", result.Leads["U1.18"].Words, StringComparison.Ordinal);
        Assert.True(result is { AnyWrong: false, Incomplete: true });
    }

    [Fact]
    public async Task A_check_of_the_leads_that_could_not_release_the_pins_does_not_promise_that_a_device_does()
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        card.Pins.BeforeRead = _ =>
        {
            // Once lines are outputs, only the release writes to them.
            if (card.Pins.IsOutput(LampCard.Line2))
                card.Pins.BeforeWrite = () => throw new IOException("gone");
        };
        var result = await new LeadCheck(card.Board, adapter, motorOffConfirmed: true).RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        Assert.Equal(SweepOutcome.AdapterFailed, result.Ending.Outcome);
        Assert.Contains("Lines may still be on", result.Ending.Words, StringComparison.Ordinal);
        Assert.DoesNotContain("The device itself", result.Ending.Words, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_open_lead_follows_the_pulls_and_is_no_fault_of_the_card()
    {
        foreach (var withPullDown in new[] { true, false })
        {
            var card = new LampCard(hasPullDown: withPullDown);
            card.Pins.Card.Remove(LampCard.Buffer1);
            var result = await card.SweepAsync();
            Assert.Contains(result.Checks, check => check is { Name: "leads", Good: false } && check.Words.Contains("U1.18", StringComparison.Ordinal));
            Assert.Equal(Condition.LeadOpen, result.Channels[0].Condition);
        }
    }

    [Fact]
    public async Task Where_no_pin_has_a_pull_up_leads_are_not_called_driven()
    {
        var result = await new LampCard(hasPulls: false).SweepAsync();
        var leads = result.Checks.Single(check => check.Name == "leads");
        Assert.False(leads.Made);
        Assert.DoesNotContain("driven", leads.Words, StringComparison.Ordinal);
        Assert.Equal("not checked", TestRig.Bench.Reporting.Words.Of(leads));
        Assert.All(result.Channels, channel => Assert.Equal(Condition.Working, channel.Condition));
    }

    [Theory]
    [InlineData(false, false)]
    [InlineData(false, true)]
    public async Task Motion_without_a_wired_stop_input_is_refused_whatever_the_operator_accepts(bool stopWired, bool noStop)
    {
        var card = new LampCard(moves: true);
        var board = stopWired ? card.Board : card.Board with { Stops = [] };
        await using var adapter = card.Open();
        var result = await new Sweep(board, adapter, new(ExerciseMode.Motion, true, noStop), TimeProvider.System, Serilog.Core.Logger.None)
            .RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        Assert.Equal(SweepOutcome.StoppedForSafety, result.Ending.Outcome);
        Assert.Contains("stop input", result.Ending.Words, StringComparison.Ordinal);
        Assert.DoesNotContain(card.Pins.Log, line => line.EndsWith("high", StringComparison.Ordinal));
    }

    [Fact]
    public async Task With_a_stop_input_motion_is_exercised()
    {
        var result = await new LampCard(moves: true).SweepAsync(ExerciseMode.Motion);
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        Assert.All(result.Channels, channel => Assert.Equal(Condition.Working, channel.Condition));
    }

    [Fact]
    public async Task A_stop_input_ends_the_program_and_the_sweep_with_lines_idle()
    {
        var card = new LampCard(moves: true);
        await using var adapter = card.Open();
        card.Pins.BeforeRead = _ =>
        {
            if (card.Pins.IsOutput(LampCard.Line1) && card.Pins.Driven(LampCard.Line1))
                card.Pins.Pulls[LampCard.Stop] = false;
        };
        var result = await new Sweep(card.Board, adapter, new(ExerciseMode.Motion, true, false), TimeProvider.System, Serilog.Core.Logger.None)
            .RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        Assert.Equal(SweepOutcome.StoppedForSafety, result.Ending.Outcome);
        Assert.Contains("ESTOP", result.Ending.Words, StringComparison.Ordinal);
        // On for no longer than the stated bound.
        var on = Assert.Single(card.Pins.OnTimes(LampCard.Line1, Level.Low));
        Assert.True(on <= adapter.Identity.StopBound, $"{on} > {adapter.Identity.StopBound}");
        Assert.False(card.Pins.IsOutput(LampCard.Line1));
    }

    internal static StimulusProgram Pulse(long onMilliseconds, string line = "GPIO2") => new(
        [new LinesStep(Duration.FromMilliseconds(10), [line]), new LinesStep(Duration.FromMilliseconds(10 + onMilliseconds), [])],
        Duration.FromMilliseconds(30 + onMilliseconds));
}
