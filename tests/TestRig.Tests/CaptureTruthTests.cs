using System.Globalization;
using TestRig.Bench.Adapters.Serial;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using TestRig.Tests.Shared;

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
        var edges = Edges(bench.EndAndReadLog(), lines);
        var checkedEdges = 0;
        var inGaps = 0;
        foreach (var (capture, from, to) in runs)
        {
            var changes = MatchedChanges(capture, edges.Where(edge => edge.At >= from && edge.At <= to), lines);
            AssertOneStart(changes);
            inGaps += changes.Count(pair => pair.Change.Width > Duration.FromMicroseconds(100));
            checkedEdges += changes.Count;
        }
        Assert.True(checkedEdges > 300, $"only {checkedEdges} edges were seen");
        Assert.True(inGaps > 10, $"only {inGaps} edges fell into a gap");
    }

    [Fact]
    public async Task Every_change_that_hardware_stamped_lies_inside_the_interval_of_its_stamp_and_inside_that_of_the_looks()
    {
        using var bench = EmulatedBench.Start(board: Repository.TestBoard("film-reel.board"), options: ["--fast"], chip: EmulatedChip.Mega328P);
        await using var adapter = await SerialAdapter.OpenAsync(bench.Port, default);
        const string line = "D2", stamped = "D8"; // Q1.C: 7 us behind the command, 108 us behind its end
        await adapter.ArmAsync(new([new(line, Level.High, Duration.FromMilliseconds(1000), Duration.Zero, [])], [], [], Duration.FromMilliseconds(60_000)), default);
        var random = new Random(20261125);
        var runs = new List<(BurstRun Run, long From, long To)>();
        for (var count = 0; count < Programs; count++)
        {
            // Across one overflow of the timer and more: the stamp alone does not tell in which round it was made.
            var on = (uint)random.Next(1600, 3 * (int)Overflow);
            var off = on + (uint)random.Next((int)Settled, 2 * (int)Overflow);
            var from = bench.Time();
            var run = await adapter.RunAsync(
                new([new LinesStep(At(on), [line]), new LinesStep(At(off), [])], At(off + Settled)) { Fine = new(stamped, count % 2 == 0 ? Level.High : Level.Low) }, default);
            runs.Add((run, from, bench.Time()));
        }
        // Two pulses: which of the two was stamped nobody can tell.
        var twice = await adapter.RunAsync(
            new([new LinesStep(At(2000), [line]), new LinesStep(At(6000), []), new LinesStep(At(12_000), [line]), new LinesStep(At(18_000), [])], At(24_000)) { Fine = new(stamped, Level.High) }, default);
        Assert.Null(twice.Fine!.Stamp);
        Assert.Contains("2 times", twice.Fine.Unusable, StringComparison.Ordinal);

        var edges = Edges(bench.EndAndReadLog(), [line]);
        foreach (var (run, from, to) in runs)
        {
            Assert.True(run.Fine?.Stamp is not null, run.Fine?.Unusable);
            var change = run.Fine!.Stamp!.Change;
            Assert.InRange(change.Width.Picoseconds, 1, 5 * TickPs); // what the firmware states: 0 to 4 ticks, and one for the step of the stamp
            var here = edges.Where(edge => edge.At >= from && edge.At <= to).ToList();
            AssertOneStart([.. MatchedChanges(run.Capture, here, [line]), (here.Single(edge => edge.Pin == stamped && edge.Level == change.Level).At, change)]);
        }
    }

    /// <summary>
    /// Chips with references from 1.0 to 1.2 V and comparators from 0.3 to 0.7 µs, by the bench's seed. A0 has a gate at a direct lead; A2 an isolator behind a divider, into 200 pF instead of
    /// the board's 25: its edge takes some 3 to 8 µs from the crossing to the change, or back.
    /// </summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public async Task Every_change_whose_crossing_was_stamped_lies_inside_its_interval_however_slow_its_edge(int seed)
    {
        const string line = "D2";
        var file = Path.Combine(TestFolders.Create().FullName, "film-reel.board");
        var text = await File.ReadAllTextAsync(Repository.TestBoard("film-reel.board"));
        var changed = text.Replace("A2    net=OK1.5 series=100kohm bottom=47kohm cap=25pF", "A2    net=OK1.5 series=100kohm bottom=47kohm cap=200pF", StringComparison.Ordinal);
        Assert.NotEqual(text, changed);
        await File.WriteAllTextAsync(file, changed);
        using var bench = EmulatedBench.Start(board: file, options: ["--fast", "--seed", $"{seed}"], chip: EmulatedChip.Mega328P);
        await using var adapter = await SerialAdapter.OpenAsync(bench.Port, default);
        Assert.Equal(["A0", "A1", "A2", "A3", "A4", "A5"], adapter.Pins.Where(pin => pin.Crossing).Select(pin => pin.Name));
        Assert.DoesNotContain(adapter.Pins, pin => pin.Crossing && pin.Fine);
        await adapter.ArmAsync(new([new(line, Level.High, Duration.FromMilliseconds(1000), Duration.Zero, [])], [], [], Duration.FromMilliseconds(60_000)), default);
        // As a sweep would make them of what it read, of the profile and of 200 pF.
        var edges = new Dictionary<string, PinEdge>
        {
            ["A0"] = new(new(0.3), new(3.4), Duration.FromNanoseconds(100), Duration.FromNanoseconds(300)),
            ["A2"] = new(new(0.07), new(3.59), Duration.FromNanoseconds(100), Duration.FromNanoseconds(7_000)),
        };
        var random = new Random(20261125 + seed);
        var runs = new List<(BurstRun Run, long From, long To)>();
        for (var count = 0; count < Programs; count++)
        {
            var on = (uint)random.Next(1600, 3 * (int)Overflow);
            var off = on + (uint)random.Next((int)Settled, 2 * (int)Overflow);
            var pin = count % 4 < 2 ? "A0" : "A2";
            var from = bench.Time();
            var run = await adapter.RunAsync(
                new([new LinesStep(At(on), [line]), new LinesStep(At(off), [])], At(off + Settled)) { Fine = new(pin, count % 2 == 0 ? Level.High : Level.Low) { Edge = edges[pin] } }, default);
            runs.Add((run, from, bench.Time()));
        }
        // While a crossing is stamped the converter cannot read, and says so; afterwards it reads as before, in its usual time, and D8 is stamped again.
        var reading = new StimulusProgram([new LinesStep(At(2000), [line]), new MeasureStep(At(6000), ["A0", "A2"], 8), new LinesStep(At(6000 + (17 * 2860)), [])], At(70_000));
        var refused = await Assert.ThrowsAsync<AdapterException>(() => adapter.RunAsync(reading with { Fine = new("A0", Level.Low) { Edge = edges["A0"] } }, default));
        Assert.Contains("the converter's multiplexer serves the stamp", refused.Message, StringComparison.Ordinal);
        var last = new List<(BurstRun Run, long From, long To)>();
        var before = bench.Time();
        var read = await adapter.RunAsync(reading with { Fine = new("D8", Level.High) }, default);
        last.Add((read, before, bench.Time()));
        Assert.InRange(read.Capture.Levels.Single(level => level.Signal == "A0").Mean.Value, 0.2, 0.4);
        Assert.InRange(read.Capture.Levels.Single(level => level.Signal == "A2").Mean.Value, 0, 0.1);
        Assert.True(read.Fine?.Stamp is not null, read.Fine?.Unusable);
        // A pin that leads to D8's capture input alone cannot be meant with an edge, nor A0 without.
        await Assert.ThrowsAsync<AdapterException>(() => adapter.RunAsync(reading with { Fine = new("A0", Level.Low) }, default));

        var log = Edges(bench.EndAndReadLog(), [line]);
        var missedWithout = 0;
        foreach (var (run, from, to) in runs.Concat(last))
        {
            Assert.True(run.Fine?.Stamp is not null, run.Fine?.Unusable);
            var (stamp, here) = (run.Fine!.Stamp!, log.Where(edge => edge.At >= from && edge.At <= to).ToList());
            var at = here.Single(edge => edge.Pin == run.Fine.Pin && edge.Level == stamp.Change.Level).At;
            var looks = MatchedChanges(run.Capture, here, [line]);
            AssertOneStart([.. looks, (at, stamp.Change)]);
            missedWithout += (stamp with { Transit = Duration.Zero }).Within(stamp.Least, stamp.Most) is not { } naive || !HasOneStart([.. looks, (at, naive)]) ? 1 : 0;
        }
        // What would be wrong, were the crossing taken for the change.
        Assert.InRange(missedWithout, Programs / 4, Programs / 2);
    }

    private static List<(long At, string Pin, Level Level)> Edges(IReadOnlyList<string> log, string[] lines) =>
        [.. log
            .Select(line => line.Split(' '))
            .Where(fields => fields is [_, ['A' or 'D', ..], "low" or "high"] && !lines.Contains(fields[1]))
            .Select(fields => (long.Parse(fields[0], CultureInfo.InvariantCulture), fields[1], fields[2] == "high" ? Level.High : Level.Low))];

    /// <summary>Every change with the edge that it is, at all pins but the lines' own: of those the log has when the chip switched them, not how they read.</summary>
    private static List<(long At, Change Change)> MatchedChanges(Capture capture, IEnumerable<(long At, string Pin, Level Level)> edges, string[] lines)
    {
        var matched = new List<(long, Change)>();
        var byPin = edges.ToLookup(edge => edge.Pin);
        foreach (var signal in capture.Signals.Where(signal => !lines.Contains(signal.Name)))
        {
            Assert.Equal(byPin[signal.Name].Select(edge => edge.Level), signal.Changes.Select(change => change.Level));
            matched.AddRange(byPin[signal.Name].Zip(signal.Changes, (edge, change) => (edge.At, change)));
        }
        return matched;
    }

    /// <summary>The burst began at an instant that the log does not have: there has to be one with which every edge lies in its interval.</summary>
    private static void AssertOneStart(IReadOnlyCollection<(long At, Change Change)> changes)
    {
        var (earliest, latest) = Starts(changes);
        Assert.True(earliest <= latest, $"no start of the burst puts every edge inside its interval: {earliest} ps at the earliest, {latest} ps at the latest");
    }

    private static bool HasOneStart(IReadOnlyCollection<(long At, Change Change)> changes)
    {
        var (earliest, latest) = Starts(changes);
        return earliest <= latest;
    }

    private static (long Earliest, long Latest) Starts(IReadOnlyCollection<(long At, Change Change)> changes) => (
        changes.Max(pair => (pair.At * 1000) - pair.Change.NotAfter.Picoseconds),
        changes.Min(pair => (pair.At * 1000) + 1000 - pair.Change.After.Picoseconds)); // the log cuts off at whole nanoseconds

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
