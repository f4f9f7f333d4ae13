using System.Globalization;
using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>A small card behind an ATmega328P: the real firmware on the emulated bench.</summary>
public class FilmReelTests
{
    private static readonly string _profile = Repository.TestBoard("film-reel.yaml");
    private static readonly string _board = Repository.TestBoard("film-reel.board");

    [Fact]
    public void A_healthy_card_exits_0_and_supplies_are_read_at_pins_that_do_nothing_else()
    {
        using var bench = EmulatedBench.Start(board: _board, chip: EmulatedChip.Mega328P);
        using var run = ProgramRun.ToEnd("sweep", _profile, "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Equal(["wind: working", "rewind: working"], RunRecord.Of(run).Conditions.Select(entry => $"{entry.Key}: {entry.Value}"));
        Assert.Contains("logic 4.9", run.Error, StringComparison.Ordinal); // A6 and A7
        Assert.Contains("isolated 11.", run.Error, StringComparison.Ordinal);
        Assert.Contains("1 at adapter pins that cannot be checked", run.Error, StringComparison.Ordinal); // D5 could be a line
        Assert.InRange(bench.StackUntouched(), 64, int.MaxValue); // a quarter of the depth that firmware-notes/timing.md states
        var lines = bench.EndAndReadLines();
        // wind once more for what is stamped at D8, rewind for what is stamped at A3.
        Assert.Equal(4, lines.Count);
        Assert.All(lines, line => Assert.InRange(line.Length(long.MaxValue), 1, 500_000_000)); // longest-on of the profile
    }

    /// <summary>
    /// Q1.C stands at D8, which the chip's hardware stamps, and its twin Q2.C at D9, which it does not. Both drivers take 2 µs of the 0 to 4 that are permitted, next to a
    /// step, where looks are some 4 µs apart.
    /// </summary>
    [Fact]
    public void A_delay_that_the_looks_leave_open_is_resolved_by_the_stamp_and_only_there()
    {
        using var bench = EmulatedBench.Start(board: _board, chip: EmulatedChip.Mega328P);
        using var run = ProgramRun.ToEnd("sweep", _profile, "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var findings = RunRecord.Of(run).Root.GetProperty("channels").EnumerateArray().SelectMany(channel => channel.GetProperty("findings").EnumerateArray()).ToList();
        (string Timing, double Delay, double Uncertainty) Rise(string point)
        {
            var finding = findings.Single(finding => finding.GetProperty("testPoint").GetString() == point && finding.GetProperty("expected").GetString() == "rises");
            return (finding.GetProperty("timing").GetString()!, finding.GetProperty("delay_ps").GetInt64() / 1e6, finding.GetProperty("uncertainty_ps").GetInt64() / 1e6);
        }

        var (stamped, looked) = (Rise("Q1.C"), Rise("Q2.C"));
        Assert.Equal("not-resolved", looked.Timing);
        Assert.Equal("conforms", stamped.Timing);
        // The stamp's 5 ticks and the isolator's 17 ticks of a look in quiet: 0.32 µs / sqrt(12) and 1.06 µs / sqrt(12) in quadrature are 0.32 µs.
        Assert.InRange(stamped.Uncertainty, 0.05, 0.33);
        Assert.True(looked.Uncertainty > 2 * stamped.Uncertainty, $"{looked.Uncertainty} µs without a stamp, {stamped.Uncertainty} with it");

        // What the bench's own log has between the isolator's fall (A2) and the driver's rise (D8), in both exercises of the channel, and before them while the lead at A0 is checked: the pin takes U1.18 down through 1 kohm
        // for 50 µs, an output that is high takes no current, so what flows comes through the LED (5 V less its 1.15 V and the output's 3.4 V, over 220 ohm: 2 mA), which is enough for the isolator.
        var log = bench.EndAndReadLog().Select(line => line.Split(' ')).Where(fields => fields.Length == 3).ToList();
        double[] At(string pin, string level) => [.. log.Where(fields => fields[1] == pin && fields[2] == level).Select(fields => long.Parse(fields[0], CultureInfo.InvariantCulture) / 1e3)];
        var delays = At("A2", "low").Zip(At("D8", "high"), (cause, effect) => effect - cause).ToList();
        Assert.Equal(3, delays.Count);
        // Two intervals of widths a and b are at most (a + b) / 2 off, which is no more than sqrt(6) times their standard uncertainty.
        Assert.InRange(stamped.Delay, delays[^1] - (Math.Sqrt(6) * stamped.Uncertainty), delays[^1] + (Math.Sqrt(6) * stamped.Uncertainty));
    }

    /// <summary>
    /// U1.16, where the isolator's delay begins, stands at A1 instead of D5. The gate falls at once, so the crossing of the reference is a good stamp of its change. The isolator itself, at A3,
    /// falls through the input's own level long before it gets down to the reference: its stamp tells nothing, and nothing is made of it. Seed 2 is a bench on which the looks leave this
    /// delay open.
    /// </summary>
    [Fact]
    public void A_crossing_resolves_a_delay_where_the_edge_is_short_and_is_refused_where_it_is_long()
    {
        var folder = TestFolders.Create().FullName;
        // The part types beside a profile go with it.
        var parts = Directory.CreateDirectory(Path.Combine(folder, "parts")).FullName;
        foreach (var type in Directory.GetFiles(Path.Combine(Path.GetDirectoryName(_profile)!, "parts")))
            File.Copy(type, Path.Combine(parts, Path.GetFileName(type)));
        var looked = Sweep(_board, _profile, Path.Combine(folder, "looked"));
        var stamped = Sweep(
            Copy(_board, "sense    D5    net=U1.16", "sense    A1    net=U1.16"), Copy(_profile, "U1.16: { adapter: D5 }", "U1.16: { adapter: A1 }"), Path.Combine(folder, "stamped"));
        Assert.Equal(("not-resolved", "conforms"), (looked.Timing, stamped.Timing));
        // In a window of 0.5 to 10 µs, k = 2; the part takes 5.
        Assert.InRange(stamped.Delay, 5 - (Math.Sqrt(6) * stamped.Uncertainty), 5 + (Math.Sqrt(6) * stamped.Uncertainty));
        Assert.InRange(stamped.Uncertainty, 0.3, 0.9 * looked.Uncertainty);
        Assert.Contains("No use of a stamp of A3: A3 crossed the hardware's reference up to", stamped.Log, StringComparison.Ordinal);
        Assert.DoesNotContain("stamp of A1", stamped.Log, StringComparison.Ordinal);

        string Copy(string file, string old, string other)
        {
            var text = File.ReadAllText(file);
            Assert.Contains(old, text, StringComparison.Ordinal);
            var copy = Path.Combine(folder, Path.GetFileName(file));
            File.WriteAllText(copy, text.Replace(old, other, StringComparison.Ordinal));
            return copy;
        }

        static (string Timing, double Delay, double Uncertainty, string Log) Sweep(string board, string profile, string run)
        {
            using var bench = EmulatedBench.Start(options: ["--seed", "2"], board: board, chip: EmulatedChip.Mega328P);
            using var sweep = ProgramRun.ToEnd("sweep", profile, "--adapter", bench.Adapter, "--out", run, "--json", "-");
            Assert.True(sweep.ExitCode == 0, $"exit {sweep.ExitCode}\n{sweep.Error}\n{sweep.Output}");
            Assert.InRange(bench.StackUntouched(), 64, int.MaxValue);
            var finding = RunRecord.Of(sweep).Root.GetProperty("channels").EnumerateArray().SelectMany(channel => channel.GetProperty("findings").EnumerateArray())
                .Single(finding => finding.GetProperty("testPoint").GetString() == "OK2.5" && finding.GetProperty("expected").GetString() == "falls");
            return (
                finding.GetProperty("timing").GetString()!, finding.GetProperty("delay_ps").GetInt64() / 1e6, finding.GetProperty("uncertainty_ps").GetInt64() / 1e6,
                File.ReadAllText(Path.Combine(run, "run.log")));
        }
    }

    /// <summary>One fault each. Nothing but the emulated board knows of it.</summary>
    [Theory]
    [InlineData("OK1=dead", "wind", "dead", "OK1")]
    [InlineData("OK2=slow:3x", "rewind", "slow", "OK2")]
    [InlineData("Q2=stuck-high", "rewind", "stuck-high", "Q2")]
    [InlineData("U1:18=stuck-low", "wind", "stuck-low", "U1")]
    [InlineData("lead:U1.18=open", "wind", "lead-open", "lead at U1.18")]
    public void One_fault_exits_1_and_is_named(string fault, string channel, string condition, string suspect)
    {
        using var bench = EmulatedBench.Start([fault], board: _board, chip: EmulatedChip.Mega328P);
        using var run = ProgramRun.ToEnd("sweep", _profile, "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var record = RunRecord.Of(run);
        Assert.All(record.Conditions, entry => Assert.Equal($"{entry.Key}: {(entry.Key == channel ? condition : "working")}", $"{entry.Key}: {entry.Value}"));
        Assert.Contains(suspect, record.FirstSuspects);
    }

    [Fact]
    public void A_pressed_emergency_stop_leaves_every_channel_not_tested_and_nothing_driven()
    {
        using var bench = EmulatedBench.Start(board: _board, chip: EmulatedChip.Mega328P);
        bench.Tell("press emergency-stop");
        using var run = ProgramRun.ToEnd("sweep", _profile, "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 4, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.All(RunRecord.Of(run).Conditions.Values, condition => Assert.Equal("not-tested", condition));
        Assert.Empty(bench.EndAndReadLines());
    }
}
