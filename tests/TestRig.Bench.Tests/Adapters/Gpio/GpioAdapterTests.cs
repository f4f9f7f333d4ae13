using System.Device.Gpio;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Gpio;
using TestRig.Bench.Exercising;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Adapters.Gpio;

/// <summary>The adapter's own rules: what it refuses, and how its lines end on every way out.</summary>
public class GpioAdapterTests
{
    [Fact]
    public async Task Says_that_it_is_timed_by_the_host_and_touches_no_pin_that_is_not_asked_for()
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        Assert.True(adapter.Identity.IsHostTimed);
        Assert.Equal("gpio", adapter.Identity.Kind);
        Assert.Equal(32, adapter.Pins.Length);
        var inputs = await adapter.ReadInputsAsync(CancellationToken.None);
        Assert.Equal(["GPIO10", "GPIO11", "GPIO2", "GPIO3", "GPIO8", "GPIO9"], inputs.Keys.Order(StringComparer.Ordinal));
    }

    [Theory]
    [InlineData("on for longer than its longest on-time", "longest on-time")]
    [InlineData("on for as long as its longest on-time, which a late computer exceeds", "when this computer is late")]
    [InlineData("kept apart together", "kept apart")]
    [InlineData("again without rest", "rest")]
    [InlineData("an undeclared line", "no limits")]
    [InlineData("longer than half the heartbeat", "heartbeat")]
    [InlineData("a voltage where none can be read", "no voltage")]
    public async Task A_program_that_breaks_a_limit_is_refused_whole_before_anything_is_driven(string what, string words)
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        card.Pins.Log.Clear();
        var fault = await Assert.ThrowsAsync<AdapterException>(() => adapter.RunAsync(Bad(what), CancellationToken.None));
        Assert.Equal(AdapterFault.Refused, fault.Fault);
        Assert.Contains(words, fault.Message, StringComparison.Ordinal);
        Assert.Empty(card.Pins.Log);
    }

    private static StimulusProgram Bad(string what) => what switch
    {
        "on for longer than its longest on-time" => GpioSweepTests.Pulse(501),
        "on for as long as its longest on-time, which a late computer exceeds" => GpioSweepTests.Pulse(500),
        "kept apart together" => new([new LinesStep(Ms(10), ["GPIO2", "GPIO3"]), new LinesStep(Ms(20), [])], Ms(30)),
        "again without rest" => new([new LinesStep(Ms(10), ["GPIO2"]), new LinesStep(Ms(20), []), new LinesStep(Ms(69), ["GPIO2"]), new LinesStep(Ms(80), [])], Ms(100)),
        "an undeclared line" => GpioSweepTests.Pulse(10, "GPIO20"),
        "longer than half the heartbeat" => new([], Ms(2501)),
        "a voltage where none can be read" => new([new MeasureStep(Ms(10), ["GPIO8"], 1)], Ms(30)),
        _ => throw new ArgumentOutOfRangeException(nameof(what), what, "Unknown."),
    };

    [Fact]
    public async Task A_line_gets_its_rest_between_two_programs()
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        var program = new StimulusProgram([new LinesStep(Ms(1), ["GPIO2"]), new LinesStep(Ms(5), [])], Ms(6));
        await adapter.RunAsync(program, CancellationToken.None);
        var off = card.Clock.Now;
        await adapter.RunAsync(program, CancellationToken.None);
        // 50 ms of rest (LampCard); the first program went on for 1 ms after its line was off, and the second had 1 ms in front of its step.
        Assert.InRange(card.Clock.Now - off, 48 * VirtualClock.Millisecond, 60 * VirtualClock.Millisecond);
    }

    [Fact]
    public async Task An_active_stop_input_forbids_the_program()
    {
        var card = new LampCard(moves: true);
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        card.Pins.Pulls[LampCard.Stop] = false;
        card.Pins.Log.Clear();
        var fault = await Assert.ThrowsAsync<AdapterException>(() => adapter.RunAsync(GpioSweepTests.Pulse(100), CancellationToken.None));
        Assert.Equal(AdapterFault.StopActive, fault.Fault);
        Assert.Empty(card.Pins.Log);
    }

    [Fact]
    public async Task Cancelling_ends_the_program_with_lines_idle_and_the_capture_says_so()
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        using var cancelling = new CancellationTokenSource();
        card.Pins.BeforeRead = _ =>
        {
            if (card.Pins.Driven(LampCard.Line1))
                cancelling.Cancel();
        };
        var run = await adapter.RunAsync(GpioSweepTests.Pulse(100), cancelling.Token);
        Assert.Equal(CaptureOutcome.HostByte, run.Capture.Ending.Outcome);
        Assert.False(card.Pins.Driven(LampCard.Line1));
        Assert.True(Assert.Single(card.Pins.OnTimes(LampCard.Line1, Level.Low)) < Ms(1));
        Assert.Equal(Level.Low, run.Capture.Find("GPIO2")!.Final);
    }

    [Fact]
    public async Task A_driver_that_fails_in_a_program_is_told_with_its_reason_and_lines_were_told_to_go_idle()
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        card.Pins.BeforeRead = _ =>
        {
            if (card.Pins.IsOutput(LampCard.Line1) && card.Pins.Driven(LampCard.Line1))
                throw new IOException("the wire broke");
        };
        var fault = await Assert.ThrowsAsync<AdapterException>(() => adapter.RunAsync(GpioSweepTests.Pulse(100), CancellationToken.None));
        Assert.Equal(AdapterFault.Unplugged, fault.Fault);
        Assert.Contains("the wire broke", fault.Message, StringComparison.Ordinal);
        Assert.Contains("told to go idle", fault.Message, StringComparison.Ordinal);
        Assert.Equal(["2 high", "2 low", "2 in", "3 in"], card.Pins.Log.TakeLast(4));
    }

    [Fact]
    public async Task When_even_idle_cannot_be_told_the_message_says_that_lines_may_be_on()
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        card.Pins.BeforeRead = _ =>
        {
            if (!card.Pins.Driven(LampCard.Line1))
                return;
            card.Pins.BeforeWrite = () => throw new IOException("gone");
            throw new IOException("gone");
        };
        var fault = await Assert.ThrowsAsync<AdapterException>(() => adapter.RunAsync(GpioSweepTests.Pulse(100), CancellationToken.None));
        Assert.Contains("may still be on: switch the board off", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_computer_too_late_to_keep_a_limit_ends_with_lines_idle_and_says_so()
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        var late = false;
        card.Pins.BeforeRead = _ =>
        {
            if (late || !card.Pins.Driven(LampCard.Line1))
                return;
            late = true;
            card.Clock.Pass(600 * VirtualClock.Millisecond);
        };
        var fault = await Assert.ThrowsAsync<AdapterException>(() => adapter.RunAsync(GpioSweepTests.Pulse(100), CancellationToken.None));
        Assert.Equal(AdapterFault.HostLate, fault.Fault);
        Assert.Contains("500 ms is its limit", fault.Message, StringComparison.Ordinal);
        Assert.False(card.Pins.Driven(LampCard.Line1));
    }

    [Fact]
    public async Task A_line_that_went_off_too_late_ends_the_program_though_it_is_off()
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        card.Pins.BeforeWrite = () =>
        {
            // Told to go off when it was time, and served too late.
            if (card.Pins.Driven(LampCard.Line1))
                card.Clock.Pass(450 * VirtualClock.Millisecond);
        };
        var fault = await Assert.ThrowsAsync<AdapterException>(() => adapter.RunAsync(GpioSweepTests.Pulse(100), CancellationToken.None));
        Assert.Equal(AdapterFault.HostLate, fault.Fault);
        Assert.Contains("500 ms is its limit", fault.Message, StringComparison.Ordinal);
        Assert.False(card.Pins.Driven(LampCard.Line1));
    }

    [Fact]
    public void A_pulse_as_long_as_the_longest_on_time_is_refused_where_its_end_may_be_late()
    {
        var card = new LampCard();
        var adapter = card.Open();
        PulsePlan Plan(Duration on) => new(card.Board.Lines[0], on, Ms(1000), 1, null);
        Assert.Contains("may be 420 µs late", Assert.Single(Plan(Ms(500)).Problems(card.Board, adapter)), StringComparison.Ordinal);
        Assert.Empty(Plan(Ms(500) - adapter.Identity.Resolution).Problems(card.Board, adapter));
    }

    [Fact]
    public async Task A_lead_check_that_fails_while_it_discharges_leaves_the_pin_an_input()
    {
        var card = new LampCard(hasPullDown: false);
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        card.Pins.BeforeWrite = () =>
        {
            if (card.Pins.IsOutput(LampCard.Buffer1))
                throw new IOException("gone");
        };
        await Assert.ThrowsAsync<AdapterException>(() => adapter.CheckLeadsAsync([$"GPIO{LampCard.Buffer1}"], CancellationToken.None));
        Assert.False(card.Pins.IsOutput(LampCard.Buffer1));
    }

    [Fact]
    public async Task Releasing_makes_lines_idle_first_and_inputs_then()
    {
        var card = new LampCard();
        var adapter = card.Open();
        await adapter.ArmAsync(card.Limits, CancellationToken.None);
        await adapter.ReleaseAsync(CancellationToken.None);
        Assert.Equal(["2 low", "3 low", "2 in", "3 in"], card.Pins.Log);
        await adapter.DisposeAsync();
        await adapter.DisposeAsync();
    }

    [Fact]
    public async Task Select_pins_are_low_from_arming_and_then_as_told()
    {
        var card = new LampCard();
        await using var adapter = card.Open();
        await adapter.ArmAsync(card.Limits with { Selects = ["GPIO20", "GPIO21"] }, CancellationToken.None);
        Assert.False(card.Pins.Driven(20) || card.Pins.Driven(21));
        await adapter.SelectAsync(["GPIO21"], CancellationToken.None);
        Assert.True(!card.Pins.Driven(20) && card.Pins.Driven(21));
        await adapter.RunAsync(GpioSweepTests.Pulse(10), CancellationToken.None);
        Assert.True(card.Pins.Driven(21));
        await Assert.ThrowsAsync<AdapterException>(() => adapter.SelectAsync(["GPIO8"], CancellationToken.None));
        await adapter.ReleaseAsync(CancellationToken.None);
        Assert.False(card.Pins.IsOutput(20) || card.Pins.IsOutput(21));
    }

    [Fact]
    public async Task What_is_not_armed_cannot_run()
    {
        await using var adapter = new LampCard().Open();
        await Assert.ThrowsAsync<InvalidOperationException>(() => adapter.RunAsync(GpioSweepTests.Pulse(10), CancellationToken.None));
    }

    [Fact]
    public async Task Self_test_follows_a_wire_and_not_a_missing_one()
    {
        var card = new LampCard();
        card.Pins.Card[20] = (at, line) => line(21, at);
        await using var adapter = GpioAdapter.Open(new ComputerBoard(new GpioController(card.Pins)), ["GPIO20", "GPIO21", "GPIO22"], card.Clock);
        var good = await LoopTest.RunAsync(adapter, "GPIO21", "GPIO20", 10, CancellationToken.None);
        Assert.True(good.Good);
        Assert.Equal(4, good.Delays.Length);
        Assert.All(good.Delays, delays => Assert.True(delays.Maximum <= adapter.Identity.Resolution, $"{delays.Maximum}"));
        Assert.False((await LoopTest.RunAsync(adapter, "GPIO21", "GPIO22", 10, CancellationToken.None)).Good);
    }

    private static Duration Ms(long milliseconds) => Duration.FromMilliseconds(milliseconds);
}
