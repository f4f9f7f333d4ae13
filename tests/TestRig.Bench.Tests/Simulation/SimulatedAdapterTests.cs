using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Simulation;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>The simulated device enforces its limits by itself, as the firmware does.</summary>
public class SimulatedAdapterTests
{
    private static Duration Ms(long milliseconds) => Duration.FromMilliseconds(milliseconds);

    [Fact]
    public async Task The_same_seed_gives_the_same_capture_and_another_seed_another()
    {
        var first = SimulatedRun.Text(await SimulatedRun.CaptureAsync(5, "rotate-left"));
        Assert.Equal(first, SimulatedRun.Text(await SimulatedRun.CaptureAsync(5, "rotate-left")));
        Assert.NotEqual(first, SimulatedRun.Text(await SimulatedRun.CaptureAsync(6, "rotate-left")));
    }

    [Theory]
    [InlineData(600, "longest on-time")]
    [InlineData(2600, "half the heartbeat")]
    public async Task A_line_that_would_be_on_for_too_long_is_refused_and_nothing_is_driven(int milliseconds, string why)
    {
        await AssertRefusedAsync(why, new LinesStep(Ms(5), ["D22"]), new LinesStep(Ms(5 + milliseconds), []));
    }

    [Fact]
    public Task Lines_kept_apart_are_refused_together() => AssertRefusedAsync("kept apart", new LinesStep(Ms(5), ["D22", "D23"]), new LinesStep(Ms(10), []));

    [Fact]
    public Task A_line_without_its_rest_is_refused() => AssertRefusedAsync(
        "rest", new LinesStep(Ms(5), ["D22"]), new LinesStep(Ms(10), []), new LinesStep(Ms(100), ["D22"]), new LinesStep(Ms(110), []));

    [Fact]
    public Task A_line_that_ends_only_with_the_program_counts_as_on_until_then() => AssertRefusedAsync("longest on-time", new LinesStep(Ms(5), ["D22"]), new MeasureStep(Ms(700), ["A0"], 1));

    [Fact]
    public Task A_pin_that_is_no_declared_line_is_refused() => AssertRefusedAsync("no limits", new LinesStep(Ms(5), ["A0"]));

    [Fact]
    public Task A_step_inside_a_reading_is_refused() => AssertRefusedAsync("too early", new MeasureStep(Ms(5), ["A0", "A1"], 64), new LinesStep(Ms(10), ["D22"]));

    [Fact]
    public Task A_voltage_at_a_digital_pin_is_refused() => AssertRefusedAsync("no voltage", new MeasureStep(Ms(5), ["D37"], 1));

    [Fact]
    public async Task A_line_gets_its_rest_between_two_programs()
    {
        await using var adapter = await ArmedAsync(FaultPlan.None, motor: false);
        var changes = Watch(adapter);
        var program = SimulatedRun.Program("rotate-left");
        await adapter.RunAsync(program, CancellationToken.None);
        await adapter.RunAsync(program, CancellationToken.None);
        var line = changes.Where(change => change.Pin == "D22").ToList();
        Assert.Equal([Level.Low, Level.High, Level.Low, Level.High], line.Select(change => change.Level));
        Assert.InRange(line[2].At - line[1].At, 250_000_000_000, long.MaxValue); // rest of the profile
    }

    [Fact]
    public async Task A_line_is_on_only_inside_a_program_and_never_for_longer_than_its_limit()
    {
        await using var adapter = await ArmedAsync(FaultPlan.None, motor: true);
        var changes = Watch(adapter);
        foreach (var channel in SimulatedRun.Dome.Channels)
            await adapter.RunAsync(SimulatedRun.Program(channel.Name, ExerciseMode.Motion), CancellationToken.None);
        foreach (var line in SimulatedRun.Dome.Lines)
        {
            var own = changes.Where(change => change.Pin == line.AdapterPin).ToList();
            Assert.Equal([Level.Low, Level.High], own.Select(change => change.Level));
            // Checked as planned: a real on-time may differ by a turn of the loop, and by the clock's error.
            Assert.InRange(own[1].At - own[0].At, 1, (long)(line.LongestOn.Picoseconds * 1.005));
        }
    }

    [Fact]
    public async Task A_stop_input_that_is_active_forbids_its_own_line_and_no_other()
    {
        await using var adapter = await ArmedAsync(SimulatedRun.Faults("limit-left=stuck-low"), motor: false);
        var refused = await Assert.ThrowsAsync<AdapterException>(() => adapter.RunAsync(SimulatedRun.Program("rotate-left"), CancellationToken.None));
        Assert.Equal(AdapterFault.StopActive, refused.Fault);
        Assert.Contains("D49", refused.Message, StringComparison.Ordinal);
        var other = await adapter.RunAsync(SimulatedRun.Program("rotate-right"), CancellationToken.None);
        Assert.Equal(CaptureOutcome.Complete, other.Capture.Ending.Outcome);
    }

    [Fact]
    public async Task A_stop_input_that_becomes_active_takes_all_lines_to_idle_within_its_bound()
    {
        // The home switch, which the motion passes, is joined to the limit switch.
        await using var adapter = await ArmedAsync(SimulatedRun.Faults("net:home-switch+limit-left=bridged"), motor: true);
        var changes = Watch(adapter);
        var run = await adapter.RunAsync(SimulatedRun.Program("rotate-left", ExerciseMode.Motion), CancellationToken.None);
        Assert.Equal(new(CaptureOutcome.StopInput, "D49"), run.Capture.Ending);
        var stopped = changes.First(change => change.Pin == "D49" && change.Level == Level.Low).At;
        var idle = changes.First(change => change.Pin == "D22" && change.Level == Level.High).At;
        Assert.InRange(idle - stopped, 1, (long)(adapter.Identity.StopBound.Picoseconds * 1.005));
    }

    [Fact]
    public async Task Released_lines_float_and_the_board_holds_them_idle()
    {
        await using var adapter = await ArmedAsync(FaultPlan.None, motor: false);
        await adapter.ReleaseAsync(CancellationToken.None);
        var inputs = await adapter.ReadInputsAsync(CancellationToken.None);
        Assert.All(SimulatedRun.Dome.Lines, line => Assert.Equal(line.Idle, inputs[line.AdapterPin]));
        await Assert.ThrowsAsync<InvalidOperationException>(() => adapter.RunAsync(SimulatedRun.Program("rotate-left"), CancellationToken.None));
    }

    [Fact]
    public async Task The_lead_check_follows_an_open_lead_and_refuses_a_line()
    {
        await using var adapter = await ArmedAsync(SimulatedRun.Faults("lead:U3.16=open"), motor: false);
        var readings = await adapter.CheckLeadsAsync(["A0", "A1", "D12", "D37"], CancellationToken.None);
        Assert.Equal(["A1"], readings.Where(reading => reading.Follows).Select(reading => reading.Pin));
        await Assert.ThrowsAsync<AdapterException>(() => adapter.CheckLeadsAsync(["D22"], CancellationToken.None));
    }

    [Fact]
    public async Task Pins_can_do_what_the_profile_wants_of_them()
    {
        await using var adapter = new SimulatedAdapter(SimulatedRun.Dome, FaultPlan.None, 1, motorSupplyOn: false);
        var pins = adapter.Pins.ToDictionary(pin => pin.Name);
        Assert.Equal(new("D22", Line: true, Sense: true, Analog: false, Stop: false), pins["D22"]);
        Assert.Equal(new("A12", Line: false, Sense: true, Analog: true, Stop: false), pins["A12"]);
        Assert.Equal(new("D43", Line: false, Sense: true, Analog: false, Stop: true), pins["D43"]);
    }

    private static async Task<SimulatedAdapter> ArmedAsync(FaultPlan faults, bool motor)
    {
        var adapter = new SimulatedAdapter(SimulatedRun.Dome, faults, 1, motor);
        await adapter.ArmAsync(SimulatedRun.Limits(SimulatedRun.Dome), CancellationToken.None);
        return adapter;
    }

    private static List<(string Pin, long At, Level Level)> Watch(SimulatedAdapter adapter)
    {
        var changes = new List<(string, long, Level)>();
        adapter.True.Changed = (pin, level) => changes.Add((pin, adapter.Time.Now, level));
        return changes;
    }

    [Fact]
    public async Task A_hardware_stamp_is_refused_since_the_simulated_bench_only_looks()
    {
        await using var adapter = await ArmedAsync(FaultPlan.None, motor: false);
        Assert.DoesNotContain(adapter.Pins, pin => pin.Fine);
        var program = new StimulusProgram([new LinesStep(Ms(5), ["D22"]), new LinesStep(Ms(10), [])], Ms(20)) { Fine = new("A0", Level.High) };
        var refused = await Assert.ThrowsAsync<AdapterException>(() => adapter.RunAsync(program, CancellationToken.None));
        Assert.Contains("A0 cannot be stamped by hardware", refused.Message, StringComparison.Ordinal);
    }

    private static async Task AssertRefusedAsync(string why, params ImmutableArray<StimulusStep> steps)
    {
        await using var adapter = await ArmedAsync(FaultPlan.None, motor: false);
        var changes = Watch(adapter);
        var refused = await Assert.ThrowsAsync<AdapterException>(() => adapter.RunAsync(new(steps, steps[^1].At + Ms(100)), CancellationToken.None));
        Assert.Equal(AdapterFault.Refused, refused.Fault);
        Assert.Contains(why, refused.Message, StringComparison.Ordinal);
        Assert.Empty(changes);
    }
}
