using System.Globalization;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Tests;

/// <summary>
/// What the firmware says of instants, against the emulated board's own log, which has every edge at every pin to the nanosecond: random programs, with steps at and around the
/// overflow of the chip's timer and with voltages read in between.
/// </summary>
public class CaptureTruthTests
{
    private const int Programs = 40;
    private const long TickPs = 62_500;
    private const uint Overflow = 65_536;

    /// <summary>Longer than any part of the boards takes: each step's edges are over before the next one.</summary>
    private const uint Settled = 3000;

    /// <summary>Some steps before a MEASURE come this close, so that slow edges fall into its gap. The shortest that the protocol allows.</summary>
    private const uint Close = 320;

    [Theory]
    [InlineData(EmulatedChip.Mega2560Name)]
    [InlineData(EmulatedChip.Mega328PName)]
    public async Task Every_edge_lies_inside_the_interval_that_the_adapter_states_for_it(string name)
    {
        var chip = EmulatedChip.Of(name);
        var board = chip == EmulatedChip.Mega328P ? Repository.TestBoard("film-reel.board") : chip.LinesBoard;
        using var bench = EmulatedBench.Start(board: board, options: ["--fast"], chip: chip);
        await using var adapter = await SerialAdapter.OpenAsync(bench.Port, default);
        string[] lines = [.. chip.LinePins.Take(2).Select(chip.LineName)];
        var longest = Duration.FromMilliseconds(20_000);
        await adapter.ArmAsync(new([.. lines.Select(pin => new LineLimit(pin, Level.High, longest, Duration.Zero, []))], [], [], Duration.FromMilliseconds(60_000)), default);
        var random = new Random(20261125);
        var runs = new List<(Capture Capture, long From, long To)>();
        for (var count = 0; count < Programs; count++)
        {
            var program = RandomProgram(random, lines, adapter.Identity.SampleTime);
            var from = bench.Time();
            var run = await adapter.RunAsync(program, default);
            runs.Add((run.Capture, from, bench.Time()));
        }
        var edges = bench.EndAndReadLog()
            .Select(line => line.Split(' '))
            .Where(fields => fields is [_, ['A' or 'D', ..], "low" or "high"] && !lines.Contains(fields[1]))
            .Select(fields => (At: long.Parse(fields[0], CultureInfo.InvariantCulture), Pin: fields[1], Level: fields[2] == "high" ? Level.High : Level.Low))
            .ToList();

        var checkedEdges = 0;
        var inGaps = 0;
        foreach (var (capture, from, to) in runs)
        {
            // The burst began at an instant that the log does not have: there has to be one with which every edge lies in its interval.
            var (earliest, latest) = (long.MinValue, long.MaxValue);
            // Of the lines' own pins the log has when the chip switched them, not how they read.
            foreach (var signal in capture.Signals.Where(signal => !lines.Contains(signal.Name)))
            {
                var seen = edges.Where(edge => edge.Pin == signal.Name && edge.At >= from && edge.At <= to).ToList();
                Assert.Equal(seen.Select(edge => edge.Level), signal.Changes.Select(change => change.Level));
                foreach (var (edge, change) in seen.Zip(signal.Changes))
                {
                    earliest = Math.Max(earliest, (edge.At * 1000) - change.NotAfter.Picoseconds);
                    latest = Math.Min(latest, (edge.At * 1000) + 1000 - change.After.Picoseconds); // the log cuts off at whole nanoseconds
                    inGaps += change.Width > Duration.FromMicroseconds(100) ? 1 : 0;
                    checkedEdges++;
                }
            }
            Assert.True(earliest <= latest, $"no start of the burst puts every edge inside its interval: {earliest} ps at the earliest, {latest} ps at the latest");
        }
        Assert.True(checkedEdges > 300, $"only {checkedEdges} edges were seen");
        Assert.True(inGaps > 10, $"only {inGaps} edges fell into a gap");
    }

    /// <summary>Fits into the smallest chip: 10 steps, 12 readings, 41 changes.</summary>
    private static StimulusProgram RandomProgram(Random random, string[] lines, Duration sample)
    {
        var steps = new List<StimulusStep>();
        var at = (uint)random.Next(1600, 4000);
        var readings = 0;
        for (var count = 0; count < 4; count++)
        {
            string[] on = random.Next(3) switch { 0 => [], 1 => [lines[random.Next(2)]], _ => [.. lines] };
            steps.Add(new LinesStep(At(at), [.. on]));
            if (readings < 4 && random.Next(3) == 0)
            {
                readings++;
                at += (uint)random.Next((int)Close, 2000);
                steps.Add(new MeasureStep(At(at), [.. Enumerable.Range(0, random.Next(1, 4)).Select(index => $"A{index}")], random.Next(1, 9)));
                at += (uint)(sample.Picoseconds * 3 * 8 / TickPs);
            }
            at += random.Next(2) == 0 ? (uint)random.Next((int)Settled, 20_000) : (uint)random.Next((int)Settled, 3 * (int)Settled);
            // Around the overflow, where a step and the housekeeping meet.
            if (random.Next(3) == 0)
                at = Math.Max(at, ((at / Overflow) + 1) * Overflow - 60 + (uint)random.Next(120));
        }
        // Off before the end: the edges that the end itself makes come after the last look.
        steps.Add(new LinesStep(At(at), []));
        return new([.. steps], At(at + Settled));
    }

    private static Duration At(uint ticks) => new(ticks * TickPs);
}
