namespace TestRig.Tests;

/// <summary>The program on the simulated bench: needs nothing but itself.</summary>
public class SimulatedRunTests
{
    [Fact]
    public void An_injected_fault_is_found_and_every_output_says_simulated()
    {
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--fault", "OK3=dead", "--seed", "4", "--json", "record.json");
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("SIMULATED bench (seed 4)", run.Output, StringComparison.Ordinal);
        Assert.Contains("Verdict  SIMULATED", run.Output, StringComparison.Ordinal);
        Assert.Contains("OK3: never conducts", run.Output, StringComparison.Ordinal);
        var record = new RunRecord(System.Text.Json.JsonDocument.Parse(File.ReadAllText(Path.Combine(run.Folder, "record.json"))).RootElement);
        Assert.Equal("simulated", record.Root.GetProperty("adapter").GetProperty("kind").GetString());
        Assert.Equal(62_500, record.Root.GetProperty("adapter").GetProperty("tick_ps").GetInt64());
        Assert.Equal("dead", record.Conditions["shutter-open"]);
    }

    [Fact]
    public void A_healthy_machine_that_moves_exits_0()
    {
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", "simulated", "--allow-motion", "--json", "-");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.All(RunRecord.Of(run).Conditions.Values, condition => Assert.Equal("working", condition));
    }

    [Theory]
    [InlineData("there is no part 'OK9'. Parts: U3, U4, OK1", "--fault", "OK9=dead")]
    [InlineData("for the simulated bench only", "--fault", "OK3=dead", "--adapter", "serial:nowhere")]
    [InlineData("for the simulated bench only", "--seed", "3", "--adapter", "serial:nowhere")]
    [InlineData("add --adapter simulated", "--seed", "3")]
    [InlineData("--adapter 'simulate' is not understood", "--adapter", "simulate")]
    public void What_makes_no_sense_exits_2_and_says_so(string words, params string[] options)
    {
        using var run = ProgramRun.ToEnd(["sweep", Repository.DomeProfile, .. options]);
        Assert.True(run.ExitCode == 2, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(Path.Combine(run.Folder, "runs")));
    }
}
