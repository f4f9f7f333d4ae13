using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Injecting;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Adapters;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Injecting;

/// <summary>A net pulled low on boards in which one thing is broken: the board is told of it, nobody else.</summary>
public class InjectionRunTests
{
    [Theory]
    [InlineData("dome-drive", "OK3.5", "OK3=dead", "OK3")]
    [InlineData("dome-drive", "OK3.5", "U4:14=stuck-high", "U4")]
    [InlineData("dome-drive", "OK3.5", "U3:14=dead", "U3")]
    [InlineData("dome-drive", "OK3.5", "line:shutter-open=dead", "adapter pin D24")]
    [InlineData("carillon", "OK1.5", "U1:18=stuck-high", "U1")]
    [InlineData("tide-gauge", "Q5.C", "Q5=dead", "Q5")]
    [InlineData("tide-gauge", "Q5.C", "U1:9=dead", "U1")]
    public async Task With_the_fault_before_the_net_all_behind_it_works(string board, string net, string fault, string item)
    {
        var (result, _) = await InjectAsync(board, net, [fault]);
        Assert.Equal((InjectionOutcome.BehindWorks, SweepOutcome.Complete), (result.Outcome, result.Ending.Outcome));
        Assert.Contains(item, result.InFront);
        Assert.Empty(result.Diagnosis.Faults);
    }

    /// <summary>Without the injection these channels are as dead as with the faults above.</summary>
    [Theory]
    [InlineData("dome-drive", "OK3.5", "Q3=dead", "Q3")]
    [InlineData("dome-drive", "OK3.5", "OK3=stuck-low", "OK3")]
    [InlineData("dome-drive", "OK3.5", "Q3:B=holds-high", "Q3")]
    [InlineData("carillon", "OK1.5", "Q1=stuck-low", "Q1")]
    [InlineData("tide-gauge", "Q5.C", "K1=dead", "K1")]
    [InlineData("tide-gauge", "Q5.C", "K1=stuck-high", "K1")]
    public async Task With_the_fault_at_the_net_or_behind_it_the_channel_is_dead_from_there_too(string board, string net, string fault, string item)
    {
        var (result, _) = await InjectAsync(board, net, [fault]);
        Assert.Equal(InjectionOutcome.FaultBehind, result.Outcome);
        Assert.Contains(item, Assert.Single(result.Diagnosis.Faults).Suspects[0].Group);
        Assert.Contains("at it or behind it", InjectionWords.Verdict(result), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("dome-drive", "OK3.5", "OK3=dead", InjectionOutcome.BehindWorks)]
    [InlineData("dome-drive", "OK3.5", "motor:shutter-open=dead", InjectionOutcome.FaultBehind)]
    [InlineData("carillon", "OK1.5", "OK1=dead", InjectionOutcome.BehindWorks)]
    public async Task With_motion_what_the_machine_gives_back_is_judged_too(string board, string net, string fault, InjectionOutcome outcome)
    {
        var (result, adapter) = await InjectAsync(board, net, [fault], motion: true);
        Assert.Equal(outcome, result.Outcome);
        // The axis goes back by its own line, where one does.
        Assert.Equal(board == "dome-drive" ? 2 : 1, adapter.Limits!.Lines.Length);
    }

    [Theory]
    [InlineData("dome-drive", "U3.14", "is high while")] // 74LS240 behind a line that is active low
    [InlineData("dome-drive", "Q3.C", "is high while")] // a high-side driver
    [InlineData("dome-drive", "U4.14", "drives U4.14 high by itself")] // a logic output in between: two drivers on one net
    [InlineData("dome-drive", "J1.6", "a sweep drives it there")]
    [InlineData("tide-gauge", "K1.NO", "nothing is behind it")]
    public void A_net_that_must_not_be_pulled_low_is_refused_with_those_that_may(string board, string net, string words)
    {
        var (injection, problem) = InjectionNet.Of(DemoBoards.Load(board), net);
        Assert.Null(injection);
        Assert.Contains(words, problem, StringComparison.Ordinal);
        Assert.Contains(board == "dome-drive" ? "Nets that can: OK1.5, OK2.5, OK3.5" : "Nets that can: Q5.C", problem, StringComparison.Ordinal);
    }

    [Fact]
    public void An_unknown_net_is_refused_with_the_nearest_name()
    {
        var (injection, problem) = InjectionNet.Of(DemoBoards.Load("dome-drive"), "OK3-5");
        Assert.Null(injection);
        Assert.Contains("did you mean 'OK3.5'?", problem, StringComparison.Ordinal);
    }

    [Fact]
    public void A_ground_whose_isolation_must_not_be_bridged_gets_no_transistor()
    {
        var board = DemoBoards.Load("dome-drive");
        var strict = board with { Grounds = [.. board.Grounds.Select(ground => ground with { BridgedBecause = null })] };
        var (injection, problem) = InjectionNet.Of(strict, "OK3.5");
        Assert.Null(injection);
        Assert.Contains("does not permit that the isolation is bridged", problem, StringComparison.Ordinal);
        Assert.Contains("no net that can be pulled low", problem, StringComparison.Ordinal);
    }

    /// <summary>Behind an isolator, a net that no test point describes may be on any ground.</summary>
    [Fact]
    public void A_net_whose_ground_is_not_known_gets_no_transistor()
    {
        var board = DemoBoards.Load("dome-drive");
        var bare = board with { Channels = [.. board.Channels.Select(channel => channel with { Stages = [.. channel.Stages.Select(stage => stage with { Output = null })] })] };
        Assert.Contains("to which ground", InjectionNet.Of(bare, "OK3.5").Problem, StringComparison.Ordinal);
        // Another point on the same side of the isolator tells.
        var some = board with { Channels = [.. board.Channels.Select(channel => channel with { Stages = [.. channel.Stages.Select(stage => stage.Part is IsolatorPart ? stage with { Output = null } : stage)] })] };
        Assert.Equal("machine", InjectionNet.Of(some, "OK3.5").Injection!.Ground!.Name);
    }

    /// <summary>The profile of the line: 500 ms on at most, 250 ms of rest; its limit switch and the emergency stop end it.</summary>
    [Fact]
    public async Task The_device_is_given_the_limits_and_the_stops_of_the_channels_own_line()
    {
        var (_, adapter) = await InjectAsync("dome-drive", "OK3.5", []);
        var line = Assert.Single(adapter.Limits!.Lines);
        Assert.Equal(("D28", Level.Low, Duration.FromMilliseconds(500), Duration.FromMilliseconds(250)), (line.Pin, line.Idle, line.LongestOn, line.Rest));
        Assert.Equal(["D43", "D47"], adapter.Limits.Stops.Select(stop => stop.Pin).Order());
        Assert.All(adapter.Limits.Stops, stop => Assert.Equal("D28", Assert.Single(stop.Lines)));
    }

    [Fact]
    public async Task With_the_way_back_the_two_directions_stay_apart()
    {
        var (_, adapter) = await InjectAsync("dome-drive", "OK3.5", [], motion: true);
        Assert.Equal(["D25", "D28"], adapter.Limits!.Lines.Select(line => line.Pin).Order());
        Assert.All(adapter.Limits.Lines, line => Assert.Equal(line.Pin == "D28" ? "D25" : "D28", Assert.Single(line.KeptApart)));
    }

    [Theory]
    [InlineData("emergency-stop=active")]
    [InlineData("shutter-open-limit=stuck-low")]
    public async Task A_stop_input_of_the_line_forbids_the_injection_too(string fault)
    {
        var (result, adapter) = await InjectAsync("dome-drive", "OK3.5", [fault]);
        Assert.Equal((SweepOutcome.StoppedForSafety, InjectionOutcome.Undecided), (result.Ending.Outcome, result.Outcome));
        Assert.Null(adapter.Limits);
    }

    /// <summary>Of the only line of a channel without a way back, an emergency stop looks like its end of travel.</summary>
    [Fact]
    public async Task An_emergency_stop_pressed_meanwhile_ends_it_as_one()
    {
        var (result, _) = await InjectAsync("carillon", "OK1.5", [], motion: true, ending: new(CaptureOutcome.StopInput, "D10"));
        Assert.Equal((SweepOutcome.StoppedForSafety, InjectionOutcome.Undecided), (result.Ending.Outcome, result.Outcome));
        Assert.Contains("emergency-stop", result.Ending.Words, StringComparison.Ordinal);
    }

    /// <summary>The transistor's resistor to its source holds the pin low; one that reads high before it is driven is at something else.</summary>
    [Fact]
    public async Task A_pin_that_does_not_idle_low_by_itself_is_not_driven()
    {
        var (result, adapter) = await InjectAsync("dome-drive", "OK3.5", [], heldHigh: true);
        Assert.Equal(SweepOutcome.StoppedForSafety, result.Ending.Outcome);
        Assert.Null(adapter.Limits);
    }

    [Fact]
    public async Task A_pin_with_another_lead_is_refused_and_free_ones_are_named()
    {
        var mismatch = await Assert.ThrowsAsync<ProfileMismatchException>(() => InjectAsync("dome-drive", "OK3.5", [], pin: "D22"));
        Assert.Contains("D22 has another lead", mismatch.Message, StringComparison.Ordinal);
        Assert.Contains("Pins that can: D28, D29", mismatch.Message, StringComparison.Ordinal);
        var (result, _) = await InjectAsync("dome-drive", "OK3.5", [], pin: "D29");
        Assert.Equal("D29", result.Pin);
    }

    /// <summary>All eight line pins of our board are taken. Forgotten at its place, the lead of a line that idles low commands no more than a sweep does.</summary>
    [Fact]
    public async Task Where_no_pin_is_free_that_of_the_channels_own_line_serves_if_it_idles_low()
    {
        var (result, _) = await InjectAsync("tide-gauge", "Q5.C", []);
        Assert.Equal("D26", result.Pin);
        Assert.Contains("take its lead off", InjectionWords.LeadOff(result.Board, result.Pin), StringComparison.Ordinal);
        await Assert.ThrowsAsync<ProfileMismatchException>(() => InjectAsync("tide-gauge", "Q5.C", [], pin: "D27"));
    }

    private static async Task<(InjectionResult Result, WatchedAdapter Adapter)> InjectAsync(
        string name, string net, string[] faults, bool motion = false, string? pin = null, CaptureEnding? ending = null, bool heldHigh = false)
    {
        var board = DemoBoards.Load(name);
        var injection = Injection.At(board, net).Injection!;
        var mode = motion ? ExerciseMode.Motion : ExerciseMode.LogicOnly;
        WatchedAdapter? watched = null;
        IAdapter Adapter(Board bench)
        {
            return watched = new(new SimulatedAdapter(heldHigh ? LeadStillAt(bench, "J1.6") : bench, FaultyBench.Plan(bench, faults), seed: 3, motorSupplyOn: motion), ending);
        }
        var run = new InjectionRun(board, injection, pin, Adapter, new(mode, MotorOffConfirmed: true, NoStopInputAcknowledged: false), TimeProvider.System);
        var result = await run.RunAsync((_, _) => { }, new Progress<SweepEvent>(), CancellationToken.None);
        return (result, watched!);
    }

    /// <summary>The lead that should go to the transistor is at a point that a resistor pulls up.</summary>
    private static Board LeadStillAt(Board bench, string point)
    {
        Line Bare(Line line) => line.Name.StartsWith("inject", StringComparison.Ordinal) ? line with { IdlesBy = null } : line;
        return bench with
        {
            Lines = [.. bench.Lines.Select(Bare)],
            Channels = [.. bench.Channels.Select(channel => channel.Line == Bare(channel.Line) ? channel : channel with { Line = Bare(channel.Line), DrivenAt = channel.DrivenAt with { Name = point } })],
        };
    }

    /// <summary>Keeps what it was armed with, and may end a run as a stop input does.</summary>
    private sealed class WatchedAdapter(IAdapter adapter, CaptureEnding? ending) : AdapterInFront(adapter)
    {
        public AdapterLimits? Limits { get; private set; }

        public override Task ArmAsync(AdapterLimits limits, CancellationToken cancellation)
        {
            Limits = limits;
            return base.ArmAsync(limits, cancellation);
        }

        public override async Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation)
        {
            var burst = await base.RunAsync(program, cancellation);
            return ending is null ? burst : burst with { Capture = burst.Capture with { Ending = ending } };
        }
    }
}
