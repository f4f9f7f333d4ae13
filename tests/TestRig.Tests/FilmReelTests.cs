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
        Assert.Equal(2, lines.Count);
        Assert.All(lines, line => Assert.InRange(line.Length(long.MaxValue), 1, 500_000_000)); // longest-on of the profile
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
