using TestRig.Bench.Adapters;
using TestRig.Bench.Simulation;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>A capture may be coarse; it must never be wrong. The bench itself knows when each pin really changed.</summary>
public class TruthTests
{
    [Fact]
    public void Each_change_lies_within_the_interval_that_is_told_of_it()
    {
        var changes = 0;
        for (var seed = 0; seed < 80; seed++)
        {
            var run = RunAtRandom(seed);
            foreach (var signal in run.Capture.Signals)
            {
                var real = run.Real.Where(change => change.Pin == signal.Name).ToList();
                foreach (var told in signal.Changes)
                {
                    Assert.True(
                        real.Exists(change => change.Level == told.Level && change.At > told.After.Picoseconds && change.At <= told.NotAfter.Picoseconds),
                        $"seed {seed}, {signal.Name}: told {told}; really {string.Join(", ", real)}");
                    changes++;
                }
            }
        }
        Assert.InRange(changes, 2000, int.MaxValue);
    }

    /// <summary>Two looks, the time to store a record, housekeeping and a step: what stays longer is seen, unless voltages are read meanwhile.</summary>
    [Fact]
    public void Each_level_that_stays_long_enough_is_seen()
    {
        const double longest = 170 * 62_500;
        for (var seed = 0; seed < 80; seed++)
        {
            var run = RunAtRandom(seed);
            foreach (var signal in run.Capture.Signals)
            {
                var real = run.Real.Where(change => change.Pin == signal.Name).ToList();
                for (var index = 0; index < real.Count; index++)
                {
                    var from = real[index].At;
                    var to = index + 1 < real.Count ? real[index + 1].At : run.Capture.End.Picoseconds - longest;
                    if (to - from < longest || run.Capture.Gaps.Any(gap => gap.From.Picoseconds < to && gap.To.Picoseconds > from - longest))
                        continue;
                    var seen = signal.LevelAt(new((long)to));
                    Assert.True(seen == real[index].Level, $"seed {seed}, {signal.Name}: {real[index].Level} from {from} to {to} was not seen");
                }
            }
        }
    }

    [Fact]
    public void More_changes_than_there_is_room_for_close_the_capture_with_a_gap()
    {
        var limits = SimulatedRun.Limits(SimulatedRun.Dome);
        // An inverting loop through an isolator: slow enough to swing at full height, for as long as the line is on.
        var on = new LinesStep(Duration.FromMilliseconds(5), ["D22"]);
        var run = Run(1, SimulatedRun.Faults("net:U3.18+OK1.5=bridged"), limits, new([on, new LinesStep(Duration.FromMilliseconds(405), [])], Duration.FromMilliseconds(600)));
        var gap = Assert.Single(run.Capture.Gaps);
        Assert.Equal(GapReason.NoRoomForChanges, gap.Reason);
        Assert.Equal(run.Capture.End, gap.To);
        Assert.All(run.Capture.Signals.SelectMany(signal => signal.Changes), change => Assert.True(change.NotAfter <= gap.From));
    }

    [Fact]
    public async Task Voltages_are_true_within_three_standard_uncertainties()
    {
        for (var seed = 0; seed < 100; seed++)
        {
            await using var adapter = new SimulatedAdapter(SimulatedRun.Dome, FaultPlan.None, seed, motorSupplyOn: true);
            string[] pins = ["A0", "A6", "A12", "A13", "A14"];
            foreach (var reading in await adapter.ReadLevelsAsync([.. pins], 16, CancellationToken.None))
            {
                var real = adapter.True.VoltsAt(reading.Signal);
                Assert.InRange(reading.Mean.Value, real - (3 * reading.StandardUncertainty.Value), real + (3 * reading.StandardUncertainty.Value));
                Assert.True(reading.Minimum <= reading.Mean && reading.Mean <= reading.Maximum);
            }
        }
    }

    private sealed record TrueRun(Capture Capture, IReadOnlyList<(string Pin, double At, Level Level)> Real);

    /// <summary>All lines on and off at random instants, voltages read in between, motors on and the home switch bouncing.</summary>
    private static TrueRun RunAtRandom(int seed)
    {
        var random = new Random(seed);
        var limits = SimulatedRun.Limits(SimulatedRun.Dome);
        var steps = new List<StimulusStep>();
        var at = Duration.FromMicroseconds(100);
        var lines = limits.Lines.Select(line => line.Pin).ToArray();
        for (var step = 0; step < 30; step++)
        {
            at += Duration.FromMicroseconds(random.Next(20, 40_000));
            if (random.Next(5) == 0)
            {
                steps.Add(new MeasureStep(at, ["A0", "A6"], 4));
                at += AdapterFigures.Reference.Tick * (AdapterFigures.Reference.Sample * 8);
            }
            else
            {
                steps.Add(new LinesStep(at, [.. lines.Where(_ => random.Next(2) == 0)]));
            }
        }
        return Run(seed, SimulatedRun.Faults("home-switch=bouncing"), limits, new([.. steps], at + Duration.FromMilliseconds(300)));
    }

    private static TrueRun Run(int seed, FaultPlan faults, AdapterLimits limits, StimulusProgram program)
    {
        var clock = (seed % 9 - 4) * 0.001;
        var variation = new Variation(seed);
        var board = new SimulatedBoard(SimulatedRun.Dome, faults, variation, motorSupplyOn: true);
        foreach (var line in limits.Lines)
            board.Drive(line.Pin, line.Idle);
        var pins = new SimulatedPins(board, AdapterFigures.Reference, variation.For("pins"));
        board.Time.RunUntil(board.Time.Now + 1_000_000_000);
        var origin = board.Time.Now;
        var real = new List<(string, double, Level)>();
        pins.Changed = (pin, level) => real.Add((pin, (board.Time.Now - origin) / (1 + clock), level));
        var capture = new Burst(AdapterFigures.Reference, pins, new(variation), limits, program, clock, variation.For("adapter")).Run();
        return new(capture, real);
    }
}
