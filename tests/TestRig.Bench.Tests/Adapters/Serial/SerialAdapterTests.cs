using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Core.Captures;
using TestRig.Core.Link;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Adapters.Serial;

public class SerialAdapterTests
{
    /// <summary>
    /// A host that gives up soon, so that tests of silence are short; what it expects of the device is the same. To a device that is there, on a machine that may be busy with other tests,
    /// it gives all the time to say who it is.
    /// </summary>
    private static readonly LinkPatience Short = LinkPatience.Default with
    {
        Identify = TimeSpan.FromSeconds(25),
        FirstReply = TimeSpan.FromMilliseconds(100),
        SlowAllowance = TimeSpan.FromMilliseconds(200),
        StopReply = TimeSpan.FromMilliseconds(200),
    };

    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);

    private static readonly AdapterLimits Limits = new(
        [
            new("D0", Level.High, Duration.FromMilliseconds(500), Duration.FromMilliseconds(250), ["D1"]),
            new("D1", Level.High, Duration.FromMilliseconds(500), Duration.FromMilliseconds(250), []),
        ],
        [new("S0", Level.Low, ["D0", "D1"])],
        [],
        Duration.FromMilliseconds(10_000));

    private static readonly AdapterLimits WithSelects = new(
        [new("D0", Level.High, Duration.FromMilliseconds(500), Duration.FromMilliseconds(250), [])], [], ["D1"], Duration.FromMilliseconds(10_000));

    private static readonly StimulusProgram Program = new(
        [
            new LinesStep(Duration.FromMicroseconds(100), ["D0"]),
            new MeasureStep(Duration.FromMicroseconds(125), ["A0"], 4),
            new LinesStep(Duration.FromMicroseconds(700), []),
        ],
        Duration.FromMilliseconds(1));

    [Fact]
    public async Task Opening_asks_who_is_there_and_what_its_pins_can_do()
    {
        await using var adapter = await OpenAsync(new FakeDevice());
        Assert.Equal(("serial", "memory", "fake", "0.1"), (adapter.Identity.Kind, adapter.Identity.Place, adapter.Identity.Board, adapter.Identity.Firmware));
        Assert.Equal(new Duration(62_500), adapter.Identity.Tick);
        Assert.Equal(new Duration(62_500) * (40 + 8 + 1), adapter.Identity.Resolution);
        Assert.Equal(0.005, adapter.Identity.ClockTolerance);
        Assert.Equal(Duration.FromMilliseconds(4_000), adapter.Identity.LongestProgram);
        Assert.Equal(Duration.FromMicroseconds(125), adapter.Identity.SampleTime);
        Assert.Equal(["D0", "D1", "A0", "S0"], adapter.Pins.Select(pin => pin.Name));
        Assert.Equal(new AdapterPin("A0", Line: false, Sense: true, Analog: true, Stop: false), adapter.Pins[2]);
        Assert.Equal(new AdapterPin("D1", Line: true, Sense: true, Analog: false, Stop: false, Select: true), adapter.Pins[1]);
    }

    [Fact]
    public async Task A_board_that_resets_when_it_is_opened_is_asked_again()
    {
        var device = new FakeDevice();
        device.OnReply = (type, wire) =>
        {
            if (type == RequestType.Pins && device.Session == 0x1001)
                device.Restart(0x1002, ResetCauses.External);
            return wire;
        };
        await using var adapter = await OpenAsync(device);
        Assert.Equal(2, device.Requests.Count(type => type == RequestType.Status));
        var inputs = await adapter.ReadInputsAsync(default).WaitAsync(Patience);
        Assert.Equal(["D1", "S0"], inputs.Where(pin => pin.Value == Level.High).Select(pin => pin.Key).Order(StringComparer.Ordinal));
    }

    [Fact]
    public async Task A_board_that_never_stays_up_is_told()
    {
        var device = new FakeDevice();
        device.OnReply = (type, wire) =>
        {
            if (type == RequestType.Status)
                device.Restart(device.Session + 1, ResetCauses.BrownOut);
            return wire;
        };
        Assert.Equal(AdapterFault.Restarted, (await Fails(() => OpenAsync(device))).Fault);
    }

    [Fact]
    public async Task Nothing_answering_is_no_adapter()
    {
        var failure = await Fails(() => OpenInVainAsync(new FakeDevice { Deaf = true }));
        Assert.Equal(AdapterFault.NotAnAdapter, failure.Fault);
        Assert.Contains("no byte came", failure.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Something_else_answering_is_no_adapter_and_is_shown()
    {
        var device = new FakeDevice { Deaf = true };
        device.Send("login: "u8.ToArray());
        var failure = await Fails(() => OpenInVainAsync(device));
        Assert.Equal(AdapterFault.NotAnAdapter, failure.Fault);
        Assert.Contains("6C6F67696E3A20 (\"login: \")", failure.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_adapter_whose_answers_arrive_damaged_is_not_called_something_else()
    {
        var device = new FakeDevice { Deaf = true };
        device.Restart(0x1002, ResetCauses.PowerOn); // its notice is whole
        device.Send([0x00, 0x55, 0x55, 0x00]);
        var failure = await Fails(() => OpenInVainAsync(device));
        Assert.Equal(AdapterFault.Silent, failure.Fault);
        Assert.Contains("1 whole frame came from it, and 1 damaged frame arrived", failure.Message, StringComparison.Ordinal);
        Assert.Contains(LinkHealth.Remedy, failure.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Another_major_version_is_refused_with_both_versions()
    {
        var failure = await Fails(() => OpenAsync(new FakeDevice { Major = 2 }));
        Assert.Equal(AdapterFault.WrongVersion, failure.Fault);
        Assert.Contains("version 2.1", failure.Message, StringComparison.Ordinal);
        Assert.Contains("newer than version 1", failure.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_megabyte_of_garbage_before_and_between_the_answers_harms_nothing()
    {
        var random = new Random(20261125);
        var device = new FakeDevice();
        var garbage = new byte[1_000_000];
        random.NextBytes(garbage);
        device.Send(garbage);
        device.Noise = () =>
        {
            var noise = new byte[random.Next(2000)];
            random.NextBytes(noise);
            return noise;
        };
        await using var adapter = await SerialAdapter.OpenAsync(device, LinkPatience.Default, TimeProvider.System, default).WaitAsync(Patience);
        await adapter.ArmAsync(Limits, default).WaitAsync(Patience);
        var capture = (await adapter.RunAsync(Program, default).WaitAsync(Patience)).Capture;
        Assert.Equal(CaptureOutcome.Complete, capture.Ending.Outcome);
        Assert.True(adapter.FramesDamaged > 1000);
    }

    [Fact]
    public async Task A_run_becomes_a_capture_of_the_sensed_pins()
    {
        var device = new FakeDevice { Gaps = [(2000, 3000, 1)] };
        await using var adapter = await ArmedAsync(device);
        var capture = (await adapter.RunAsync(Program, default).WaitAsync(Patience)).Capture;
        var tick = new Duration(62_500);
        Assert.Equal(tick, capture.Tick);
        Assert.Equal(Instant.Start + (tick * 16_000), capture.End);
        Assert.Equal(["D0", "D1", "A0", "S0"], capture.Signals.Select(signal => signal.Name));
        var line = capture.Find("D0")!;
        Assert.Equal(Level.High, line.Initial);
        // The step at tick 1600 falls into the longest pause before the stamp 1700: L + D + 2 H = 40 + 48 + 2 * 30; and S is 8.
        Assert.Equal(new Change(Instant.Start + (tick * (1700 - 148 - 8)), Instant.Start + (tick * 1700), Level.Low), line.Changes[0]);
        Assert.Equal(new Change(Instant.Start + (tick * (9000 - 40 - 8)), Instant.Start + (tick * 9000), Level.High), line.Changes[1]);
        Assert.Equal(new Change(Instant.Start + (tick * 1692), Instant.Start + (tick * 1740), Level.High), Assert.Single(capture.Find("A0")!.Changes));
        Assert.Empty(capture.Find("S0")!.Changes);
        Assert.Equal(new Gap(Instant.Start + (tick * 2000), Instant.Start + (tick * 3000), GapReason.MeasuringLevels), Assert.Single(capture.Gaps));
        Assert.Equal(new CaptureEnding(CaptureOutcome.Complete, null), capture.Ending);
        var level = Assert.Single(capture.Levels);
        Assert.Equal("A0", level.Signal);
        Assert.Equal(300 * 5.0 / 1024, level.Mean.Value, 12);
    }

    [Fact]
    public async Task A_level_reading_carries_the_uncertainty_of_reference_converter_and_spread()
    {
        await using var adapter = await OpenAsync(new FakeDevice());
        var reading = Assert.Single(await adapter.ReadLevelsAsync(["A0"], 16, default).WaitAsync(Patience));
        Assert.Equal(2.5, reading.Mean.Value, 12);
        // One step of 5 V / 1024 is 4.8828 mV, its standard uncertainty 1.4095 mV: step / √12, JCGM 100:2008 F.2.2.1 (derived value).
        var quantisation = 1.4095e-3;
        // ±1 % of 2.5 V, uniform; four steps from smallest to largest, uniform, over √16.
        var reference = 0.025 / Math.Sqrt(3);
        var spread = 4 * quantisation / 4;
        // The converter itself: 2 steps (Microchip DS40002011A, Table 33-12), uniform.
        var converter = 2 * 5.0 / 1024 / Math.Sqrt(3);
        Assert.Equal(Math.Sqrt((reference * reference) + (quantisation * quantisation) + (spread * spread) + (converter * converter)), reading.StandardUncertainty.Value, 6);
        // The reference is most of it, and it is no normal distribution: less than twice the standard uncertainty, and no more than all parts together.
        Assert.InRange(reading.ExpandedUncertainty.Value, 1.65 * reading.StandardUncertainty.Value, 1.95 * reading.StandardUncertainty.Value);
    }

    [Fact]
    public async Task A_lost_reply_to_run_does_not_run_twice()
    {
        var lost = 0;
        var device = new FakeDevice();
        device.OnReply = (type, wire) => type == RequestType.Run && lost++ == 0 ? [] : wire;
        device.OnDone = _ => [];
        await using var adapter = await ArmedAsync(device);
        var capture = (await adapter.RunAsync(Program, default).WaitAsync(Patience)).Capture;
        Assert.Equal(CaptureOutcome.Complete, capture.Ending.Outcome);
        Assert.Single(device.Runs);
        Assert.Empty(device.BytesInBurst);
    }

    [Fact]
    public async Task A_run_that_the_device_never_heard_is_repeated_under_the_same_number()
    {
        var damage = 1;
        var device = new FakeDevice();
        device.Instead = type => type == RequestType.Run && damage-- > 0 ? [] : null;
        device.OnReply = (type, wire) => type == RequestType.Run && damage == 0 ? [] : wire;
        await using var adapter = await ArmedAsync(device);
        await adapter.RunAsync(Program, default).WaitAsync(Patience);
        Assert.Equal([1u], device.Runs.ToArray());
        Assert.Equal(2, device.Requests.Count(type => type == RequestType.Run));
    }

    [Fact]
    public async Task Run_numbers_go_on_above_those_of_an_earlier_host()
    {
        var device = new FakeDevice { LastRun = 41 };
        await using var adapter = await ArmedAsync(device);
        await adapter.RunAsync(Program, default).WaitAsync(Patience);
        await adapter.RunAsync(Program, default).WaitAsync(Patience);
        Assert.Equal([42u, 43u], device.Runs.ToArray());
    }

    [Fact]
    public async Task When_run_numbers_are_used_up_nothing_is_driven_and_the_remedy_is_told()
    {
        var device = new FakeDevice { LastRun = uint.MaxValue };
        await using var adapter = await ArmedAsync(device);
        var failure = await Fails(() => adapter.RunAsync(Program, default));
        Assert.Equal(AdapterFault.Refused, failure.Fault);
        Assert.Contains("Unplug it", failure.Message, StringComparison.Ordinal);
        Assert.Empty(device.Runs);
    }

    [Fact]
    public async Task A_damaged_notice_of_the_end_is_asked_for()
    {
        var device = new FakeDevice { OnDone = Damaged };
        await using var adapter = await ArmedAsync(device);
        var capture = (await adapter.RunAsync(Program, default).WaitAsync(Patience)).Capture;
        Assert.Equal(CaptureOutcome.Complete, capture.Ending.Outcome);
        Assert.Single(device.Runs);
    }

    [Fact]
    public async Task Damaged_replies_are_asked_for_again()
    {
        var turn = 0;
        var device = new FakeDevice();
        device.OnReply = (type, wire) => type != RequestType.Run && turn++ % 2 == 0 ? Damaged(wire) : wire;
        await using var adapter = await ArmedAsync(device);
        var capture = (await adapter.RunAsync(Program, default).WaitAsync(Patience)).Capture;
        Assert.Equal(2, capture.Find("D0")!.Changes.Length);
        Assert.True(adapter.FramesDamaged >= 5);
    }

    [Fact]
    public async Task A_reply_that_comes_after_it_was_given_up_is_not_taken_for_the_next_one()
    {
        byte[]? late = null;
        var device = new FakeDevice();
        device.OnReply = (type, wire) =>
        {
            if (type != RequestType.Inputs)
                return wire;
            if (late is null)
            {
                late = wire;
                return [];
            }
            // The given-up reply first, then one of another type under this number, then the right one.
            return [.. late, .. FakeDevice.Framed(0x87, 0, [0]), .. wire];
        };
        await using var adapter = await OpenAsync(device);
        Assert.Equal(4, (await adapter.ReadInputsAsync(default).WaitAsync(Patience)).Count);
    }

    [Fact]
    public async Task Nothing_is_sent_into_a_burst()
    {
        var device = new FakeDevice { BurstsLast = true };
        await using var adapter = await ArmedAsync(device, Limits with { Heartbeat = Duration.FromMilliseconds(150) });
        var running = adapter.RunAsync(Program with { Length = Duration.FromMilliseconds(300) }, default);
        await Until(() => device.InBurst);
        var reading = adapter.ReadInputsAsync(default);
        await Task.WhenAny(running, Task.Delay(TimeSpan.FromMilliseconds(400)));
        Assert.Empty(device.BytesInBurst);
        device.EndBurst();
        Assert.Equal(CaptureOutcome.Complete, (await running.WaitAsync(Patience)).Capture.Ending.Outcome);
        await reading.WaitAsync(Patience);
    }

    [Fact]
    public async Task Cancelling_ends_the_burst_with_one_byte_and_still_gives_the_capture()
    {
        var device = new FakeDevice { BurstsLast = true };
        await using var adapter = await ArmedAsync(device);
        using var cancelling = new CancellationTokenSource();
        var running = adapter.RunAsync(Program, cancelling.Token);
        await Until(() => device.InBurst);
        await cancelling.CancelAsync();
        var capture = (await running.WaitAsync(Patience)).Capture;
        Assert.Equal(CaptureOutcome.HostByte, capture.Ending.Outcome);
        Assert.Equal([(byte)0], device.BytesInBurst.ToArray());
        Assert.Equal(4, capture.Signals.Length);
    }

    [Fact]
    public async Task Cancelling_before_the_run_runs_nothing()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device);
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => adapter.RunAsync(Program, new CancellationToken(canceled: true)));
        Assert.Empty(device.Runs);
    }

    [Fact]
    public async Task A_stop_input_that_ends_a_run_is_named()
    {
        var device = new FakeDevice { BurstsLast = true };
        await using var adapter = await ArmedAsync(device);
        var running = adapter.RunAsync(Program, default);
        await Until(() => device.InBurst);
        device.EndBurst(BurstOutcome.StopInput, pin: 3);
        Assert.Equal(new CaptureEnding(CaptureOutcome.StopInput, "S0"), (await running.WaitAsync(Patience)).Capture.Ending);
    }

    [Fact]
    public async Task A_resting_line_is_waited_for()
    {
        var rests = 2;
        var device = new FakeDevice();
        device.Instead = type => type == RequestType.Run && rests-- > 0 ? [(byte)ReplyResult.Resting, 0, 0x80, 0x3E, 0, 0] : null;
        await using var adapter = await ArmedAsync(device);
        await adapter.RunAsync(Program, default).WaitAsync(Patience);
        Assert.Equal(3, device.Requests.Count(type => type == RequestType.Run));
        Assert.Equal([1u], device.Runs.ToArray());
    }

    [Fact]
    public async Task A_restart_in_the_middle_of_a_run_is_told_with_its_cause()
    {
        var device = new FakeDevice { BurstsLast = true };
        await using var adapter = await ArmedAsync(device);
        var running = adapter.RunAsync(Program, default);
        await Until(() => device.InBurst);
        device.Restart(0x2002, ResetCauses.BrownOut);
        var failure = await Fails(() => running);
        Assert.Equal(AdapterFault.Restarted, failure.Fault);
        Assert.Contains("supply voltage sagged", failure.Message, StringComparison.Ordinal);
        Assert.Equal(AdapterFault.Restarted, (await Fails(() => adapter.ReadInputsAsync(default))).Fault);
    }

    [Fact]
    public async Task A_restart_whose_notice_was_lost_is_found_by_the_session()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device);
        device.Session = 0x3003;
        device.Instead = type => type == RequestType.Load ? [(byte)ReplyResult.NotArmed] : null;
        Assert.Equal(AdapterFault.Restarted, (await Fails(() => adapter.RunAsync(Program, default))).Fault);
    }

    [Fact]
    public async Task A_device_that_disarmed_by_itself_is_told_apart_from_a_restart()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device);
        device.Instead = type => type == RequestType.Load ? [(byte)ReplyResult.WrongNonce] : null;
        var failure = await Fails(() => adapter.RunAsync(Program, default));
        Assert.Equal(AdapterFault.Refused, failure.Fault);
        Assert.Contains("heartbeat", failure.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_device_that_stops_answering_is_silent()
    {
        var device = new FakeDevice();
        await using var adapter = await OpenAsync(device);
        device.Deaf = true;
        var before = device.Requests.Count;
        var failure = await Fails(() => adapter.ReadInputsAsync(default));
        Assert.Equal(AdapterFault.Silent, failure.Fault);
        Assert.Equal(Short.Attempts, device.Requests.Count - before);
    }

    [Fact]
    public async Task A_device_that_vanishes_is_unplugged()
    {
        var device = new FakeDevice { BurstsLast = true };
        await using var adapter = await ArmedAsync(device);
        var running = adapter.RunAsync(Program, default);
        await Until(() => device.InBurst);
        device.Gone = true;
        Assert.Equal(AdapterFault.Unplugged, (await Fails(() => running)).Fault);
    }

    [Fact]
    public async Task Missing_records_never_become_a_capture()
    {
        var device = new FakeDevice { ChangesMissing = 1 };
        await using var adapter = await ArmedAsync(device);
        Assert.Equal(AdapterFault.BrokenAnswer, (await Fails(() => adapter.RunAsync(Program, default))).Fault);
    }

    [Fact]
    public async Task Records_out_of_order_never_become_a_capture()
    {
        var device = new FakeDevice { Changes = [(100, 3), (1700, 2), (1700, 3)] };
        await using var adapter = await ArmedAsync(device);
        Assert.Equal(AdapterFault.BrokenAnswer, (await Fails(() => adapter.RunAsync(Program, default))).Fault);
    }

    [Fact]
    public async Task More_records_than_one_reply_holds_are_all_fetched()
    {
        var device = new FakeDevice { Changes = [.. Enumerable.Range(0, 200).Select(index => ((uint)(100 + (index * 50)), (byte)(index % 2)))] };
        await using var adapter = await ArmedAsync(device);
        Assert.Equal(199, (await adapter.RunAsync(Program, default).WaitAsync(Patience)).Capture.Find("D0")!.Changes.Length);
    }

    [Fact]
    public async Task Refusals_name_the_step_and_the_stop_input()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device);
        device.Instead = type => type == RequestType.Run ? [(byte)ReplyResult.ProgramRefused, 2, (byte)ProgramRefusal.LongestOnTime] : null;
        var refused = await Fails(() => adapter.RunAsync(Program, default));
        Assert.Equal(AdapterFault.Refused, refused.Fault);
        Assert.Contains("longest on-time (step 3 of 4, at 700 µs)", refused.Message, StringComparison.Ordinal);
        device.Instead = type => type == RequestType.Run ? [(byte)ReplyResult.StopActive, 3] : null;
        var stopped = await Fails(() => adapter.RunAsync(Program, default));
        Assert.Equal(AdapterFault.StopActive, stopped.Fault);
        Assert.Contains("stop input S0", stopped.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_pin_that_the_adapter_has_not_or_that_cannot_do_it_is_refused_with_those_that_can()
    {
        await using var adapter = await ArmedAsync(new FakeDevice());
        var missing = await Fails(() => adapter.RunAsync(new([new LinesStep(Duration.FromMilliseconds(1), ["D9"])], Duration.FromMilliseconds(2)), default));
        Assert.Contains("no pin 'D9'. Pins that can drive a line: D0, D1.", missing.Message, StringComparison.Ordinal);
        var unable = await Fails(() => adapter.ReadLevelsAsync(["D0"], 1, default));
        Assert.Contains("pin D0 cannot read a voltage. Pins that can: A0.", unable.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Arming_declares_all_limits_in_the_devices_own_units()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device);
        Assert.Equal(
            [RequestType.ClearLimits, RequestType.Line, RequestType.Line, RequestType.Stop, RequestType.Heartbeat, RequestType.Arm],
            device.Requests.SkipWhile(type => type != RequestType.ClearLimits));
        // 500 ms are 8 000 000 ticks of 62.5 ns, 250 ms half of that, in bytes from the least significant one.
        Assert.Equal(
            ["00" + "01" + "00127A00" + "00093D00" + "02000000", "01" + "01" + "00127A00" + "00093D00" + "00000000", "03" + "00" + "03000000", "10270000"],
            device.Declared);
    }

    [Fact]
    public async Task Select_pins_are_declared_behind_the_heartbeat_and_set_all_at_once()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device, WithSelects);
        Assert.Equal(
            [RequestType.ClearLimits, RequestType.Line, RequestType.Heartbeat, RequestType.Selects, RequestType.Arm],
            device.Requests.SkipWhile(type => type != RequestType.ClearLimits));
        // D1 is pin 1.
        Assert.Equal("02000000", device.Declared.Last());
        await adapter.SelectAsync(["D1"], default).WaitAsync(Patience);
        await adapter.SelectAsync([], default).WaitAsync(Patience);
        Assert.Equal([2u, 0u], device.Selected);
        await adapter.SelectAsync(["D1"], default).WaitAsync(Patience);
        Assert.Equal(CaptureOutcome.Complete, (await adapter.RunAsync(Program, default).WaitAsync(Patience)).Capture.Ending.Outcome);
    }

    [Fact]
    public async Task Without_select_pins_a_device_of_the_first_version_is_as_good_as_any()
    {
        var device = new FakeDevice { Minor = 0 };
        await using var adapter = await ArmedAsync(device);
        Assert.DoesNotContain(RequestType.Selects, device.Requests);
        await adapter.RunAsync(Program, default).WaitAsync(Patience);
    }

    [Fact]
    public async Task A_device_of_the_first_version_cannot_switch_multiplexers_and_is_not_armed()
    {
        var device = new FakeDevice { Minor = 0 };
        await using var adapter = await OpenAsync(device);
        var failure = await Fails(() => adapter.ArmAsync(WithSelects, default));
        Assert.Equal(AdapterFault.WrongVersion, failure.Fault);
        Assert.Contains("cannot switch multiplexers: its firmware 0.1 speaks version 1.0 of the link protocol, and that needs 1.1", failure.Message, StringComparison.Ordinal);
        Assert.Contains("Load this version's firmware", failure.Message, StringComparison.Ordinal);
        Assert.DoesNotContain(RequestType.Line, device.Requests);
    }

    [Fact]
    public async Task A_pin_that_was_not_armed_as_a_select_pin_is_refused_before_anything_is_sent()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device, WithSelects);
        var line = await Fails(() => adapter.SelectAsync(["D1", "D0"], default));
        Assert.Contains("pin D0 cannot select a multiplexer's input. Pins that can: D1.", line.Message, StringComparison.Ordinal);
        var unable = await Fails(() => adapter.SelectAsync(["A0"], default));
        Assert.Contains("pin A0 cannot select a multiplexer's input. Pins that can: D1.", unable.Message, StringComparison.Ordinal);
        Assert.Empty(device.Selected);
        await adapter.ArmAsync(WithSelects with { Selects = [] }, default).WaitAsync(Patience);
        var undeclared = await Fails(() => adapter.SelectAsync(["D1"], default));
        Assert.Contains("Pin D1 was not armed as a select pin", undeclared.Message, StringComparison.Ordinal);
        await adapter.ReleaseAsync(default).WaitAsync(Patience);
        await Assert.ThrowsAsync<InvalidOperationException>(() => adapter.SelectAsync(["D1"], default));
    }

    [Fact]
    public async Task A_select_pin_that_did_not_stand_where_it_was_set_makes_no_capture()
    {
        // In the device's records D1 is high all the time; the adapter left it low.
        await using var adapter = await ArmedAsync(new FakeDevice(), WithSelects);
        var failure = await Fails(() => adapter.RunAsync(Program, default));
        Assert.Equal(AdapterFault.BrokenAnswer, failure.Fault);
        Assert.Contains("pin D1, which selects the input of a multiplexer, was not at its level", failure.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Limits_that_are_no_whole_ticks_are_rounded_to_the_safe_side()
    {
        var device = new FakeDevice();
        var limits = Limits with { Lines = [new("D0", Level.High, new Duration(1_000_000_000_001), new Duration(500_000_000_001), [])], Stops = [] };
        await using var adapter = await ArmedAsync(device, limits);
        Assert.Equal("00" + "01" + "0024F400" + "01127A00" + "00000000", device.Declared.First());
    }

    [Fact]
    public async Task A_program_is_loaded_in_ticks_with_its_end_as_the_last_step()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device);
        await adapter.RunAsync(Program, default).WaitAsync(Patience);
        // 100 µs = 1600 ticks, 125 µs = 2000, 700 µs = 11 200, 1 ms = 16 000.
        Assert.Equal(
            "40060000" + "01" + "01000000" + "00" + "D0070000" + "02" + "01000000" + "04" + "C02B0000" + "01" + "00000000" + "00" + "803E0000" + "00" + "00000000" + "00",
            device.Program);
    }

    [Fact]
    public async Task A_program_of_more_steps_than_one_frame_holds_is_loaded_in_parts()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device);
        var steps = Enumerable.Range(1, 30).Select(index => new LinesStep(Duration.FromMilliseconds(index), index % 2 == 0 ? [] : ["D0"]));
        await adapter.RunAsync(new([.. steps], Duration.FromMilliseconds(31)), default).WaitAsync(Patience);
        Assert.InRange(device.Requests.Count(type => type == RequestType.Load), 2, int.MaxValue); // a slow host asks again
        Assert.Equal(31 * 20, device.Program.Length);
    }

    [Fact]
    public async Task A_program_longer_than_the_device_holds_is_refused_before_anything_is_sent()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device);
        var steps = Enumerable.Range(1, 40).Select(index => new LinesStep(Duration.FromMilliseconds(index), []));
        var failure = await Fails(() => adapter.RunAsync(new([.. steps], Duration.FromMilliseconds(41)), default));
        Assert.Contains("40 steps, and the adapter takes 39", failure.Message, StringComparison.Ordinal);
        Assert.DoesNotContain(RequestType.Load, device.Requests);
    }

    [Fact]
    public async Task A_notice_of_the_end_that_was_lost_without_a_trace_is_asked_for()
    {
        var device = new FakeDevice { OnDone = _ => [] };
        await using var adapter = await ArmedAsync(device);
        var capture = (await adapter.RunAsync(Program, default).WaitAsync(Patience)).Capture;
        Assert.Equal(CaptureOutcome.Complete, capture.Ending.Outcome);
        Assert.Single(device.Runs);
    }

    [Fact]
    public async Task The_heartbeat_is_fed_while_armed_and_not_after_release()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device, Limits with { Heartbeat = Duration.FromMilliseconds(150) });
        await Until(() => device.Requests.Count(type => type == RequestType.Alive) >= 3);
        await adapter.ReleaseAsync(default).WaitAsync(Patience);
        await adapter.ReleaseAsync(default).WaitAsync(Patience);
        var fed = device.Requests.Count(type => type == RequestType.Alive);
        await adapter.ReadInputsAsync(default).WaitAsync(Patience);
        Assert.Equal(fed, device.Requests.Count(type => type == RequestType.Alive));
        await Assert.ThrowsAsync<InvalidOperationException>(() => adapter.RunAsync(Program, default));
    }

    [Fact]
    public async Task What_the_link_damaged_is_counted_in_both_directions_from_opening_on()
    {
        var damage = 0;
        var device = new FakeDevice { ThrownAway = 7, Overruns = 2 };
        device.OnReply = (type, wire) => type == RequestType.Inputs && damage++ < 2 ? Damaged(wire) : wire;
        await using var adapter = await ArmedAsync(device);
        await adapter.ReadInputsAsync(default).WaitAsync(Patience);
        Assert.Equal(new LinkHealth(DamagedFromAdapter: 2, DamagedToAdapter: null, Overruns: null, Repeats: 2), adapter.Link);
        (device.ThrownAway, device.Overruns) = (10, 3);
        await adapter.ReleaseAsync(default).WaitAsync(Patience);
        Assert.Equal(new LinkHealth(DamagedFromAdapter: 2, DamagedToAdapter: 3, Overruns: 1, Repeats: 2), adapter.Link);
    }

    [Fact]
    public async Task A_link_without_damage_is_clean()
    {
        await using var adapter = await ArmedAsync(new FakeDevice { ThrownAway = 7 });
        await adapter.RunAsync(Program, default).WaitAsync(Patience);
        await adapter.ReleaseAsync(default).WaitAsync(Patience);
        Assert.True(adapter.Link!.IsClean, adapter.Link.ToString());
    }

    [Fact]
    public async Task A_silence_after_damage_names_the_remedy_of_a_disturbed_link()
    {
        var device = new FakeDevice();
        device.OnReply = (type, wire) => type == RequestType.Inputs ? Damaged(wire) : wire;
        await using var adapter = await OpenAsync(device);
        var failure = await Fails(() => adapter.ReadInputsAsync(default));
        Assert.Equal(AdapterFault.Silent, failure.Fault);
        Assert.Contains("4 damaged frames arrived", failure.Message, StringComparison.Ordinal);
        Assert.Contains($"The link is disturbed. {LinkHealth.Remedy}", failure.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_restart_whose_notice_was_lost_is_told_by_the_release_at_the_latest()
    {
        var device = new FakeDevice();
        await using var adapter = await ArmedAsync(device);
        device.Session++;
        Assert.Equal(AdapterFault.Restarted, (await Fails(() => adapter.ReleaseAsync(default))).Fault);
    }

    [Fact]
    public async Task Leads_are_checked_and_told_by_name()
    {
        await using var adapter = await ArmedAsync(new FakeDevice());
        var leads = await adapter.CheckLeadsAsync(["A0", "S0"], default).WaitAsync(Patience);
        Assert.Equal([new("A0", Level.Low, Level.High), new("S0", Level.Low, Level.High)], leads.ToArray());
        Assert.All(leads, lead => Assert.True(lead.Follows));
    }

    [Fact]
    public async Task Disposing_releases_the_lines()
    {
        var device = new FakeDevice();
        var adapter = await ArmedAsync(device);
        await adapter.DisposeAsync();
        await adapter.DisposeAsync();
        Assert.Equal(RequestType.ClearLimits, device.Requests.Last());
    }

    private static Task<SerialAdapter> OpenAsync(FakeDevice device) => OpenAsync(device, Short);

    /// <summary>Of a device that is not going to say who it is.</summary>
    private static Task<SerialAdapter> OpenInVainAsync(FakeDevice device) => OpenAsync(device, Short with { Identify = TimeSpan.FromMilliseconds(500) });

    private static Task<SerialAdapter> OpenAsync(FakeDevice device, LinkPatience patience) => SerialAdapter.OpenAsync(device, patience, TimeProvider.System, CancellationToken.None).WaitAsync(Patience);

    private static async Task<SerialAdapter> ArmedAsync(FakeDevice device, AdapterLimits? limits = null)
    {
        var adapter = await OpenAsync(device);
        await adapter.ArmAsync(limits ?? Limits, CancellationToken.None).WaitAsync(Patience);
        return adapter;
    }

    private static async Task<AdapterException> Fails(Func<Task> action) => await Assert.ThrowsAsync<AdapterException>(() => action().WaitAsync(Patience));

    /// <summary>Inverts the bits of one byte in the middle, never into a delimiter.</summary>
    private static byte[] Damaged(byte[] wire)
    {
        var damaged = wire.ToArray();
        var middle = wire.Length / 2;
        damaged[middle] = (byte)(wire[middle] == 0xFF ? 0x01 : wire[middle] ^ 0xFF);
        return damaged;
    }

    private static async Task Until(Func<bool> condition)
    {
        using var limit = new CancellationTokenSource(Patience);
        while (!condition())
            await Task.Delay(TimeSpan.FromMilliseconds(2), limit.Token);
    }
}
