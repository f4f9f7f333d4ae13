using System.Text.Json;
using System.Text.RegularExpressions;
using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>testrig inject on the simulated bench.</summary>
public class InjectTests
{
    [Fact]
    public void With_a_dead_isolator_everything_behind_it_works_and_it_is_named_as_before_the_net()
    {
        using var run = ProgramRun.ToEnd("inject", Repository.DomeProfile, "--at", "OK3.5", "--fault", "OK3=dead");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("CAUTION  TestRig is not a safety device", run.Output, StringComparison.Ordinal);
        Assert.Contains("its source (emitter) to ground machine", run.Output, StringComparison.Ordinal);
        Assert.Contains("Verdict  SIMULATED, no board was tested: everything behind OK3.5 works (Q3)", run.Output, StringComparison.Ordinal);
        Assert.Contains("the fault is before it: OK3, U4, U3, lead to J1.6", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void With_a_dead_driver_behind_the_net_it_is_the_suspect_and_the_record_has_it()
    {
        using var run = ProgramRun.ToEnd("inject", Repository.DomeProfile, "--at", "OK3.5", "--fault", "Q3=dead", "--json", "-");
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var record = JsonDocument.Parse(run.Output).RootElement;
        Assert.Equal(("testrig-inject/1", "fault-behind", "dead"), (record.GetProperty("format").GetString(), record.GetProperty("outcome").GetString(), record.GetProperty("condition").GetString()));
        Assert.Contains("Q3", record.GetProperty("faults")[0].GetProperty("suspects")[0].GetProperty("group").EnumerateArray().Select(item => item.GetString()));
    }

    [Theory]
    [InlineData("OK3-5", "did you mean 'OK3.5'?")]
    [InlineData("U3.14", "can only pull a net low")]
    public void What_cannot_be_pulled_low_is_bad_usage_and_nothing_is_driven(string net, string words)
    {
        using var run = ProgramRun.ToEnd("inject", Repository.DomeProfile, "--at", net, "--adapter", "simulated");
        Assert.True(run.ExitCode == 2, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("check ", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_the_operators_word_a_motor_supply_that_nothing_senses_stops_it()
    {
        var profile = File.ReadAllText(Repository.DomeProfile).Replace("motor:    { volts: 24 V ± 10 %, sensed-at: MOTOR, motion: true }", "motor:    { volts: 24 V ± 10 %, motion: true }", StringComparison.Ordinal)
            .Replace("  MOTOR:    { adapter: A14, divider: 100 kohm / 22 kohm, ground: machine }\n", "", StringComparison.Ordinal);
        using var written = Written(profile);
        using var run = ProgramRun.ToEnd("inject", written.Path, "--at", "OK3.5", "--adapter", "simulated");
        Assert.True(run.ExitCode == 4, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("--motor-is-off", run.Output, StringComparison.Ordinal);
    }

    /// <summary>A sweep that cannot tell two stages apart proposes an injection; its command runs as it is printed, and tells.</summary>
    [Fact]
    public void The_command_that_a_sweep_proposes_runs_as_it_is_printed()
    {
        using var written = Written(File.ReadAllText(Repository.DomeProfile).Replace("OK3.5: { adapter: A8, ", "OK3.5: { ", StringComparison.Ordinal));
        using var sweep = ProgramRun.ToEnd("sweep", written.Path, "--fault", "OK3=dead", "--seed", "4");
        Assert.True(sweep.ExitCode == 1, $"exit {sweep.ExitCode}\n{sweep.Error}\n{sweep.Output}");
        var words = Regex.Match(sweep.Output, "(?m)^  run    testrig (.+)$").Groups[1].Value.TrimEnd().Split(' ');
        using var inject = ProgramRun.ToEnd(words);
        Assert.True(inject.ExitCode == 0, $"{string.Join(' ', words)}: exit {inject.ExitCode}\n{inject.Error}\n{inject.Output}");
        Assert.Contains("SIMULATED bench (seed 4)", inject.Output, StringComparison.Ordinal);
        Assert.Contains("everything behind OK3.5 works", inject.Output, StringComparison.Ordinal);
    }

    private static WrittenProfile Written(string text) => new(text);

    private sealed class WrittenProfile : IDisposable
    {
        private readonly DirectoryInfo _folder = TestFolders.Create();

        public WrittenProfile(string text) => File.WriteAllText(Path, text);

        public string Path => System.IO.Path.Combine(_folder.FullName, "board.yaml");

        public void Dispose() => _folder.Delete(recursive: true);
    }
}
