using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Exercising;

/// <summary>The film reel card on the simulated bench, with an adapter that can stamp pins: Q1.C stands at D8, its twin Q2.C at D9.</summary>
public class FineRepeatsTests
{
    private static readonly Board _reel =
        ProfileLoader.Load(Path.Combine(Repository.Root, "tests", "TestRig.Tests", "boards", "film-reel.yaml"), Repository.PartsFolder).Board!;

    [Fact]
    public async Task Only_delays_that_the_looks_leave_open_are_measured_again_and_then_with_their_stamp()
    {
        var coarse = Reel(_ => false);
        var before = await SweepAsync(_reel, coarse);
        Assert.Equal((Timing.NotResolved, Verdict.Conforms), (Timed(before, "OK1.5", Expectation.Falls).Timing, Timed(before, "OK1.5", Expectation.Falls).Verdict));
        Assert.Equal(Timing.Conforms, Timed(before, "OK1.5", Expectation.Rises).Timing); // 100 µs in a window of 10 to 200: nothing is open
        Assert.Equal(2, coarse.Programs.Count);

        var fine = Reel(pin => pin.Name == "A2"); // OK1.5; its twin OK2.5 stands at A3
        var result = await SweepAsync(_reel, fine);
        Assert.Equal([new("A2", Level.Low)], fine.Stamped);
        Assert.Equal(3, fine.Programs.Count);
        Assert.Equal(fine.Programs[0], fine.Programs[1] with { Fine = null }); // the same exercise, before the next channel's
        var resolved = Timed(result, "OK1.5", Expectation.Falls);
        Assert.Equal(Timing.Conforms, resolved.Timing);
        Assert.True(resolved.StandardUncertainty < Timed(before, "OK1.5", Expectation.Falls).StandardUncertainty);
        Assert.Contains("µs after U1.18", resolved.Words, StringComparison.Ordinal);
        Assert.Equal(Timing.NotResolved, Timed(result, "OK2.5", Expectation.Falls).Timing);
        // The same stamp is the beginning of the next stage's delay.
        Assert.True(Timed(result, "Q1.C", Expectation.Rises).StandardUncertainty < Timed(result, "Q2.C", Expectation.Rises).StandardUncertainty);
        Assert.All(result.Channels, channel => Assert.Equal(Condition.Working, channel.Condition));
    }

    [Fact]
    public async Task Where_only_the_end_of_a_delay_is_stamped_its_beginning_is_as_coarse_as_before()
    {
        var result = await SweepAsync(_reel, Reel(pin => pin.Name == "D8")); // Q1.C
        var (stamped, twin) = (Timed(result, "Q1.C", Expectation.Rises), Timed(result, "Q2.C", Expectation.Rises));
        Assert.True(stamped.StandardUncertainty < twin.StandardUncertainty);
        // Of 0 to 4 µs, with the isolator's change known to the looks' width alone.
        Assert.Equal(Timing.NotResolved, stamped.Timing);
    }

    [Fact]
    public async Task A_window_below_one_tick_is_no_reason_to_stamp()
    {
        var fine = Reel(pin => pin.Name is "A0" or "D5"); // buffers: 0 to 18 ns, open both ways
        var result = await SweepAsync(_reel, fine);
        Assert.Equal(Timing.NotResolved, Timed(result, "U1.18", Expectation.Falls).Timing);
        Assert.Equal(Timing.NotResolved, Timed(result, "U1.18", Expectation.Rises).Timing);
        // When they fall, the delay of the isolator behind them begins, which is open too; its other one is not.
        Assert.Equal([new("A0", Level.Low), new("D5", Level.Low)], fine.Stamped);
    }

    [Fact]
    public async Task Without_a_stamp_that_can_be_used_the_delay_stays_as_open_as_it_was()
    {
        var fine = Reel(pin => pin.Name == "D8", StampingAdapter.Without);
        var result = await SweepAsync(_reel, fine);
        Assert.Single(fine.Stamped);
        Assert.Equal(Timing.NotResolved, Timed(result, "Q1.C", Expectation.Rises).Timing);
        Assert.All(result.Channels, channel => Assert.Equal(Condition.Working, channel.Condition));
    }

    [Fact]
    public async Task What_fails_in_the_repeat_is_intermittent()
    {
        var fine = Reel(pin => pin.Name == "D8", (run, point) => StampingAdapter.Without(
            run with { Capture = run.Capture with { Signals = [.. run.Capture.Signals.Select(signal => signal.Name == "D8" ? signal with { Changes = [] } : signal)] } }, point));
        var result = await SweepAsync(_reel, fine);
        Assert.Equal([Condition.Intermittent, Condition.Working], result.Channels.Select(channel => channel.Condition));
    }

    [Fact]
    public async Task What_the_stamp_shows_to_be_late_is_slow()
    {
        // The repeat's driver answers 4 µs later: beyond its window, and so does the stamp say.
        var fine = Reel(pin => pin.Name == "D8", (run, point) => Later(run, point, Duration.FromMicroseconds(4)));
        var result = await SweepAsync(_reel, fine);
        Assert.Equal([Condition.Slow, Condition.Working], result.Channels.Select(channel => channel.Condition));
        Assert.Equal("Q1.C", result.Channels[0].FirstFailure!.TestPoint);
    }

    [Fact]
    public async Task A_repeat_that_is_ended_early_leaves_the_channel_not_tested()
    {
        var fine = Reel(pin => pin.Name == "D8", (run, point) => StampingAdapter.Without(
            run with { Capture = run.Capture with { Ending = new(CaptureOutcome.HostByte, null) } }, point));
        Assert.Equal(Condition.NotTested, (await SweepAsync(_reel, fine)).Channels[0].Condition);
    }

    [Fact]
    public async Task Together_a_delay_left_open_is_stamped_in_the_program_of_the_whole_group()
    {
        var board = SimulatedRun.Dome;
        var fine = Dome(ExerciseMode.LogicOnly);
        var result = await SweepAsync(board, fine, together: true);
        Assert.NotEmpty(fine.Stamped);
        Assert.All(result.Channels, channel => Assert.Equal(Condition.Working, channel.Condition));
        Assert.All(fine.Programs.Where(program => program.Fine is not null), program => Assert.Contains(fine.Programs, other => other == program with { Fine = null }));
    }

    [Fact]
    public async Task With_motion_nothing_that_moves_is_exercised_once_more()
    {
        var fine = Dome(ExerciseMode.Motion);
        var result = await SweepAsync(SimulatedRun.Dome, fine, ExerciseMode.Motion);
        Assert.All(result.Channels, channel => Assert.Equal(Condition.Working, channel.Condition));
        Assert.Empty(fine.Stamped);
        Assert.Equal(SimulatedRun.Dome.Channels.Length, fine.Programs.Count);
    }

    [Fact]
    public async Task Where_only_a_crossing_can_be_stamped_the_repeat_reads_no_voltages_and_those_of_the_run_before_count()
    {
        var fine = new StampingAdapter(new SimulatedAdapter(_reel, FaultPlan.Of(_reel, []).Plan!, 1, motorSupplyOn: false), _ => false) { IsCrossing = pin => pin.Name is "A0" or "A2" };
        var result = await SweepAsync(_reel, fine);
        // OK1.5 and the beginning of its delay, U1.18, for that delay; the driver's delay begins at OK1.5 too.
        Assert.Equal([("A2", Level.Low), ("A0", Level.Low)], fine.Stamped.Select(point => (point.Pin, point.Level)));
        Assert.All(fine.Programs, program => Assert.Equal(program.Fine is null, program.Steps.Any(step => step is MeasureStep)));
        // A gate's edge is short and its lead direct; the isolator's is as long as its delay may be, and its lead has a divider.
        var edges = fine.Stamped.ToDictionary(point => point.Pin, point => point.Edge!);
        Assert.Equal(Duration.FromNanoseconds(100), edges["A0"].Source);
        Assert.Equal(Duration.FromMicroseconds(10), edges["A2"].Source);
        Assert.InRange(edges["A2"].High.Value, 3.5, 3.7); // 12 V through the load's 10 kohm and the divider: 3.59 V
        Assert.InRange(edges["A2"].Settling.ToSeconds(), 6.3e-6, 6.5e-6); // 100.5 || 47 kohm and 200 pF
        Assert.All(result.Channels, channel => Assert.Equal(Condition.Working, channel.Condition));
        Assert.DoesNotContain(result.Channels.SelectMany(channel => channel.Findings), finding => finding.Verdict == Verdict.NotTested);
    }

    [Fact]
    public async Task A_pin_whose_changes_can_be_stamped_goes_before_one_with_crossings()
    {
        var fine = new StampingAdapter(new SimulatedAdapter(_reel, FaultPlan.Of(_reel, []).Plan!, 1, motorSupplyOn: false), pin => pin.Name == "D8") { IsCrossing = pin => pin.Name == "A2" };
        await SweepAsync(_reel, fine);
        Assert.Equal([("A2", true), ("D8", false)], fine.Stamped.Select(point => (point.Pin, point.Edge is not null))); // OK1.5's own delay; the driver's
    }

    private static StampingAdapter Reel(Func<AdapterPin, bool> isFine, Func<BurstRun, FinePoint, BurstRun>? tell = null)
    {
        var adapter = new SimulatedAdapter(_reel, FaultPlan.Of(_reel, []).Plan!, 1, motorSupplyOn: false);
        return tell is null ? new(adapter, isFine) : new(adapter, isFine) { Tell = tell };
    }

    private static StampingAdapter Dome(ExerciseMode mode) =>
        new(new SimulatedAdapter(SimulatedRun.Dome, SimulatedRun.Faults(), 1, mode == ExerciseMode.Motion), _ => true);

    private static async Task<SweepResult> SweepAsync(Board board, StampingAdapter adapter, ExerciseMode mode = ExerciseMode.LogicOnly, bool together = false)
    {
        await using (adapter)
        {
            return await new Sweep(board, adapter, new(mode, MotorOffConfirmed: false, NoStopInputAcknowledged: false) { Together = together }, TimeProvider.System, Serilog.Core.Logger.None)
                .RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        }
    }

    private static Finding Timed(SweepResult result, string point, Expectation expected) =>
        result.Channels.SelectMany(channel => channel.Findings).Single(finding => finding.TestPoint == point && finding.Expected == expected);

    private static BurstRun Later(BurstRun run, FinePoint point, Duration by)
    {
        var signal = run.Capture.Find(point.Pin)!;
        var coarse = signal.Changes.Single(change => change.Level == point.Level);
        var late = coarse with { After = coarse.After, NotAfter = coarse.NotAfter + by };
        return run with
        {
            Capture = run.Capture with { Signals = run.Capture.Signals.Replace(signal, signal with { Changes = signal.Changes.Replace(coarse, late) }) },
            Fine = new(point.Pin, point.Level, new(late, late.NotAfter, Duration.Zero, run.Capture.Tick), null),
        };
    }
}
