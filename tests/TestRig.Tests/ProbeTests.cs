using System.Text.Json;

namespace TestRig.Tests;

/// <summary>testrig probe, the whole program: questions, answers from a file, and the record.</summary>
public class ProbeTests
{
    private static readonly string[] _shutter = ["probe", Repository.DomeProfile, "--channel", "shutter-open"];

    [Fact]
    public void A_dead_isolator_is_found_and_every_step_is_in_the_record()
    {
        using var script = new Script("", "", "", "", "");
        using var run = ProgramRun.ToEnd([.. _shutter, "--fault", "OK3=dead", "--script", script.Path, "--json", "-"]);
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("OK3.5 with the divider 100 kohm / 47 kohm in the lead, from A15; it refers to ground machine.", run.Error, StringComparison.Ordinal);
        Assert.Contains("  seen   J1.6: high, low at the end of the command, high after it, as it should.", run.Error, StringComparison.Ordinal);
        Assert.Contains("  do     Replace OK3 (4N25).", run.Error, StringComparison.Ordinal);
        Assert.Contains("Verdict  SIMULATED, no board was tested: shutter-open: not working.", run.Error, StringComparison.Ordinal);

        using var record = JsonDocument.Parse(run.Output);
        var root = record.RootElement;
        Assert.Equal("testrig-probe/1", root.GetProperty("format").GetString());
        Assert.Equal("fault-found", root.GetProperty("outcome").GetString());
        var steps = root.GetProperty("steps").EnumerateArray().ToList();
        Assert.Equal("J1.6", steps[0].GetProperty("testPoint").GetString());
        Assert.False(steps[0].TryGetProperty("answer", out _));
        Assert.All(steps.Skip(1), step =>
        {
            Assert.Equal("touched", step.GetProperty("answer").GetString());
            Assert.True(step.GetProperty("information_bits").GetDouble() > 0);
            Assert.True(step.GetProperty("expected").GetArrayLength() > 0);
            Assert.Equal(1, step.GetProperty("expected").EnumerateArray().Sum(expected => expected.GetProperty("probability").GetDouble()), 0.05);
        });
        Assert.Equal("OK3", root.GetProperty("faults")[0].GetProperty("suspects")[0].GetProperty("group")[0].GetString());
    }

    [Fact]
    public void A_skipped_point_is_not_asked_for_again()
    {
        using var script = new Script("s", "", "", "", "");
        using var run = ProgramRun.ToEnd([.. _shutter, "--fault", "OK3=dead", "--script", script.Path]);
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("  seen   OK3.5: not touched.", run.Output, StringComparison.Ordinal);
        Assert.Equal(2, run.Output.Split("OK3.5 with the divider").Length);
    }

    [Fact]
    public void Told_to_end_before_anything_is_known_it_is_exit_6()
    {
        using var script = new Script("q");
        using var run = ProgramRun.ToEnd([.. _shutter, "--adapter", "simulated", "--script", script.Path]);
        Assert.True(run.ExitCode == 6, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("STOPPED  Ended as told: lines are idle", run.Output, StringComparison.Ordinal);
        Assert.Contains("undecided", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void A_good_channel_is_exit_0_and_says_where_nothing_is_wrong()
    {
        using var script = new Script("", "", "", "", "");
        using var run = ProgramRun.ToEnd([.. _shutter, "--adapter", "simulated", "--script", script.Path]);
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("shutter-open: nothing wrong at J1.6, ", run.Output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("no channel 'shutter'", "--channel", "shutter")]
    [InlineData("Say which channel with --channel: rotate-left,")]
    [InlineData("'x' is no answer", "--channel", "shutter-open", "--script", "keys")]
    public void What_cannot_be_is_exit_2(string words, params string[] arguments)
    {
        using var script = new Script("", "x");
        using var run = ProgramRun.ToEnd(["probe", Repository.DomeProfile, "--adapter", "simulated", .. arguments.Select(argument => argument == "keys" ? script.Path : argument)]);
        Assert.True(run.ExitCode == 2, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
    }

    /// <summary>The real firmware behind its link. Its bench holds A15 at nothing, so that the lead shows what a lead shows that touches nothing; the line moves as in a sweep.</summary>
    [Fact]
    public void Through_the_firmware_a_lead_that_touches_nothing_is_told()
    {
        using var bench = EmulatedBench.Start();
        using var script = new Script("", "", "", "", "");
        using var run = ProgramRun.ToEnd([.. _shutter, "--adapter", bench.Adapter, "--script", script.Path, "--json", "-"]);
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        using var record = JsonDocument.Parse(run.Output);
        Assert.Equal("A15", record.RootElement.GetProperty("lead").GetString());
        Assert.Contains(
            record.RootElement.GetProperty("steps").EnumerateArray().Last().GetProperty("suspects").EnumerateArray(),
            suspect => suspect.GetProperty("item").GetString() == "roving lead");
        Assert.All(bench.EndAndReadLines(), line => Assert.Equal("D24", line.Pin));
    }

    /// <summary>Answers in a file.</summary>
    private sealed class Script : IDisposable
    {
        public Script(params string[] lines) => File.WriteAllLines(Path, lines);

        public string Path { get; } = System.IO.Path.GetTempFileName();

        public void Dispose() => File.Delete(Path);
    }
}
