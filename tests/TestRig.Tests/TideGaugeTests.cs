using TestRig.Tests.Expectations;

namespace TestRig.Tests;

/// <summary>The board without motion, whose relay contacts bounce: the real firmware on the emulated bench.</summary>
public class TideGaugeTests
{
    [Fact]
    public void A_healthy_panel_exits_0_with_every_channel_working_and_no_word_of_motors()
    {
        using var bench = EmulatedBench.Start(board: Repository.TideGaugeBoard);
        using var run = ProgramRun.ToEnd("sweep", Repository.TideGaugeProfile, "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var record = RunRecord.Of(run);
        Assert.Equal(8, record.Conditions.Count);
        Assert.All(record.Conditions.Values, condition => Assert.Equal("working", condition));
        // A busy machine makes the link late, and then the words about a disturbed link name motor leads: they are of cables, not of this board.
        Assert.DoesNotContain("motor", run.Error.Replace("motor leads", "", StringComparison.Ordinal), StringComparison.OrdinalIgnoreCase);
        Assert.Contains("Nothing on this board moves", run.Error, StringComparison.Ordinal);
        var lines = bench.EndAndReadLines();
        Assert.Equal(8, lines.Count);
        Assert.All(lines, line => Assert.InRange(line.Length(long.MaxValue), 1, 500_000_000)); // longest-on of the profile
    }

    /// <summary>One fault each. Nothing but the emulated board knows of it.</summary>
    [Theory]
    [MemberData(nameof(TideGaugeFaults.All), MemberType = typeof(TideGaugeFaults))]
    public void One_fault_exits_1_and_is_named(string fault, string channels, string condition, string suspect)
    {
        using var bench = EmulatedBench.Start([TideGaugeFaults.OnEmulatedBench(fault)], board: Repository.TideGaugeBoard);
        using var run = ProgramRun.ToEnd("sweep", Repository.TideGaugeProfile, "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var record = RunRecord.Of(run);
        Assert.All(record.Conditions, entry => Assert.Equal($"{entry.Key}: {(TideGaugeFaults.Concerns(channels, entry.Key) ? condition : "working")}", $"{entry.Key}: {entry.Value}"));
        Assert.Contains(suspect, record.FirstSuspects);
    }
}
