using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Probing;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Adapters;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Exercising;

/// <summary>An axis at its limit switch is where it goes; every other stop input ends what is being done, whatever part of the board is driven.</summary>
public class EndOfTravelTests
{
    [Fact]
    public void A_stop_is_a_limit_switch_where_the_profile_has_it_end_one_line_by_its_name()
    {
        Assert.Equal(["emergency-stop"], SimulatedRun.Dome.Stops.Where(stop => !stop.IsLimit).Select(stop => stop.Point.Name));
        Assert.Equal(6, SimulatedRun.Dome.Stops.Count(stop => stop.IsLimit));
    }

    /// <summary>Of a card with one line alone, the word makes the difference.</summary>
    [Theory]
    [InlineData("all", false)]
    [InlineData("[ winch ]", true)]
    public void On_a_board_with_one_line_the_profile_says_which_it_is(string ends, bool isLimit)
    {
        var stop = Assert.Single(Winch(ends).Stops);
        Assert.Equal(isLimit, stop.IsLimit);
        Assert.Equal(!isLimit, stop.EndsAll(Winch(ends)));
    }

    /// <summary>A probe drives one channel and knows of no other line: what ended all of them ends this one, and is no end of travel for that.</summary>
    [Theory]
    [InlineData("carillon", "strike-c", "emergency-stop", SweepOutcome.StoppedForSafety)]
    [InlineData("dome-drive", "rotate-left", "emergency-stop", SweepOutcome.StoppedForSafety)]
    [InlineData("dome-drive", "rotate-left", "limit-left", SweepOutcome.Complete)]
    public async Task What_ended_the_only_channel_driven_is_told_by_the_whole_board(string name, string driven, string stoppedBy, SweepOutcome expected)
    {
        var whole = DemoBoards.Load(name);
        var roving = RovingBoard.With(whole, whole.Channels.Single(channel => channel.Name == driven), ExerciseMode.Motion, null);
        var pin = whole.TestPoints.Single(point => point.Name == stoppedBy).AdapterPin;
        await using var adapter = new Stopped(new SimulatedAdapter(roving.Bench, FaultPlan.None, 1, motorSupplyOn: true), new(CaptureOutcome.StopInput, pin));
        var sweep = new Sweep(roving.Driven, adapter, new(ExerciseMode.Motion, MotorOffConfirmed: false, NoStopInputAcknowledged: false), TimeProvider.System, Serilog.Core.Logger.None);
        var result = await sweep.RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        Assert.Equal(expected, result.Ending.Outcome);
        Assert.Equal(expected == SweepOutcome.StoppedForSafety, result.Ending.Words.Contains(stoppedBy, StringComparison.Ordinal));
    }

    private static Board Winch(string ends) => WrittenBoard.Of($$"""
        format: testrig-profile/1
        board: { name: One winch (invented) }
        supplies:
          logic: { volts: 5 V ± 5 % }
          motor: { volts: 5 V ± 5 %, motion: true }
        parts:
          U1: { type: 74LS244, supply: logic }
          Q1: { type: BC337, supply: motor }
        lines:
          winch: { adapter: D22, idle: low, pull-down: 1 kohm, motion: true, longest-on: 500 ms, rest: 50 ms }
        test-points:
          P1.1: { adapter: D22 }
          Q1.C: { adapter: D30 }
          slack: { adapter: D31, supply: logic }
        stops:
          slack: { goes: low, ends: {{ends}} }
        channels:
          winch: { drive: winch at P1.1, path: [ U1 2>18, Q1 ], exercise: { motion-on: 300 ms } }
        """);

    /// <summary>Ends the first run so, and no other.</summary>
    private sealed class Stopped(IAdapter inner, CaptureEnding ending) : AdapterInFront(inner)
    {
        private bool _ended;

        public override async Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation)
        {
            var burst = await base.RunAsync(program, cancellation);
            if (_ended)
                return burst;
            _ended = true;
            return burst with { Capture = burst.Capture with { Ending = ending } };
        }
    }
}
