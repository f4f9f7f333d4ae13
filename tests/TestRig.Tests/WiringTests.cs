using System.Text.Json;

namespace TestRig.Tests;

/// <summary>testrig wiring: the list without an adapter, the check of the leads with one.</summary>
public class WiringTests
{
    [Theory]
    [InlineData("dome-drive", 44)]
    [InlineData("tide-gauge", 30)]
    public void Without_an_adapter_the_list_is_printed_and_kept(string profile, int leads)
    {
        var path = Path.Combine(Repository.Root, "profiles", profile + ".yaml");
        using var run = ProgramRun.ToEnd("wiring", path, "--json", "list.json", "--out", "sheet");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains($"{leads} leads", run.Output, StringComparison.Ordinal);
        Assert.DoesNotContain("SIMULATED", run.Output, StringComparison.Ordinal);
        using var list = JsonDocument.Parse(File.ReadAllText(Path.Combine(run.Folder, "list.json")));
        Assert.Equal("testrig-wiring/1", list.RootElement.GetProperty("format").GetString());
        Assert.Equal(leads, list.RootElement.GetProperty("leads").GetArrayLength());
        Assert.False(list.RootElement.TryGetProperty("checks", out _));
        Assert.Contains("<svg", File.ReadAllText(Path.Combine(run.Folder, "sheet", "wiring.html")), StringComparison.Ordinal);
    }

    [Fact]
    public void A_folder_that_cannot_be_made_is_exit_5_with_a_remedy()
    {
        using var run = ProgramRun.ToEnd("wiring", Repository.DomeProfile, "--out", "/dev/null/sheet");
        Assert.Equal(5, run.ExitCode);
        Assert.Contains("another folder with --out", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void On_the_simulated_bench_an_open_lead_is_exit_1_and_everything_says_simulated()
    {
        using var run = ProgramRun.ToEnd("wiring", Repository.DomeProfile, "--fault", "lead:U3.16=open", "--json", "-");
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("OPEN: open lead, or nothing drives the net", run.Error, StringComparison.Ordinal);
        Assert.Contains("Verdict  SIMULATED, no board was tested: 36 of 44 leads good, 1 open", run.Error, StringComparison.Ordinal);
        using var found = JsonDocument.Parse(run.Output);
        Assert.Equal("simulated", found.RootElement.GetProperty("adapter").GetProperty("kind").GetString());
        Assert.Equal("open", StateAt(found, "U3.16"));
        Assert.Equal("whole", StateAt(found, "U3.18"));
    }

    /// <summary>The real firmware: no line is ever on, and what an open lead would read as well is not told.</summary>
    [Fact]
    public void Through_the_firmware_every_lead_is_looked_at_and_nothing_is_commanded()
    {
        using var bench = EmulatedBench.Start();
        using var run = ProgramRun.ToEnd("wiring", Repository.DomeProfile, "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 6, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        using var found = JsonDocument.Parse(run.Output);
        foreach (var lead in found.RootElement.GetProperty("leads").EnumerateArray())
        {
            var point = lead.GetProperty("testPoint").GetString()!;
            var expected = point == "MOTOR" || point.StartsWith('Q') ? "not-told" : "whole";
            Assert.True(lead.GetProperty("found").GetProperty("state").GetString() == expected, lead.ToString());
        }
        Assert.Empty(bench.EndAndReadLines());
    }

    [Theory]
    [InlineData("lead:U3.16=open", "U3.16", "open", 1)]
    [InlineData("line:D23=open", "J1.4", "wrong", 4)]
    public void Through_the_firmware_an_open_lead_is_named(string fault, string point, string state, int exit)
    {
        using var bench = EmulatedBench.Start([fault]);
        using var run = ProgramRun.ToEnd("wiring", Repository.DomeProfile, "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == exit, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        using var found = JsonDocument.Parse(run.Output);
        Assert.Equal(state, StateAt(found, point));
        Assert.Empty(bench.EndAndReadLines());
    }

    /// <summary>
    /// Twenty-four outputs and four inputs: 20 moves, one for each that pass 1 leaves out. Of the points that take turns each is somewhere once; the page and the screen say the same.
    /// </summary>
    [Fact]
    public void With_few_inputs_the_choice_and_the_passes_are_printed_drawn_and_kept()
    {
        using var run = ProgramRun.ToEnd("wiring", Repository.DomeProfile, "--inputs", "4", "--json", "inputs.json", "--out", "sheet");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("What tells most in one pass", run.Output, StringComparison.Ordinal);
        Assert.Contains("All 24 in 6 passes, with 20 clips moved", run.Output, StringComparison.Ordinal);
        using var inputs = JsonDocument.Parse(File.ReadAllText(Path.Combine(run.Folder, "inputs.json")));
        var root = inputs.RootElement;
        Assert.Equal("testrig-inputs/1", root.GetProperty("format").GetString());
        Assert.Equal([3, 4, 5], root.GetProperty("choices").EnumerateArray().Select(choice => choice.GetProperty("testPoints").GetArrayLength()));
        var passes = root.GetProperty("passes").EnumerateArray().ToList();
        Assert.Equal((6, 20, 20), (passes.Count, root.GetProperty("moves").GetInt32(), root.GetProperty("fewestMoves").GetInt32()));
        Assert.Equal(
            root.GetProperty("points").EnumerateArray().Select(point => point.GetString()).Order(StringComparer.Ordinal),
            passes[0].GetProperty("clips").EnumerateArray().Select(clip => clip.GetProperty("testPoint").GetString())
                .Concat(passes.SelectMany(pass => pass.GetProperty("moves").EnumerateArray()).Select(move => move.GetProperty("to").GetString())).Order(StringComparer.Ordinal));
        Assert.Contains("Leads of pass 1", File.ReadAllText(Path.Combine(run.Folder, "sheet", "wiring.html")), StringComparison.Ordinal);
    }

    [Fact]
    public void Exchanged_leads_are_named_by_pulses_and_kept()
    {
        using var run = ProgramRun.ToEnd("wiring", Repository.DomeProfile, "--check", "--fault", "lead:U3.16+U4.16=swapped", "--json", "-");
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("Found    The leads at U3.16 and U4.16 are exchanged", run.Error, StringComparison.Ordinal);
        Assert.Contains("SIMULATED, no board was tested", run.Error, StringComparison.Ordinal);
        using var found = JsonDocument.Parse(run.Output);
        var verdict = Assert.Single(found.RootElement.GetProperty("pulses").GetProperty("verdicts").EnumerateArray());
        Assert.Equal("lead", verdict.GetProperty("blame").GetString());
        Assert.Equal("wrong", StateAt(found, "U3.16"));
        Assert.Equal("wrong", StateAt(found, "U4.16"));
    }

    /// <summary>
    /// The real firmware: each of the six lines is on once, for no longer than it may be (500 ms), and never two at once; then all is told but the lead of the motor supply, which is off.
    /// </summary>
    [Fact]
    public void Through_the_firmware_each_line_is_commanded_once_and_the_leads_of_the_paths_are_told()
    {
        using var bench = EmulatedBench.Start();
        using var run = ProgramRun.ToEnd("wiring", Repository.DomeProfile, "--check", "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 6, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        using var found = JsonDocument.Parse(run.Output);
        Assert.Empty(found.RootElement.GetProperty("pulses").GetProperty("verdicts").EnumerateArray());
        Assert.Equal("whole", StateAt(found, "Q1.C"));
        Assert.Equal("not-told", StateAt(found, "MOTOR"));
        var lines = bench.EndAndReadLines();
        Assert.Equal(["D22", "D23", "D24", "D25", "D26", "D27"], lines.Select(line => line.Pin).Order(StringComparer.Ordinal));
    }

    private static string? StateAt(JsonDocument found, string point) => found.RootElement.GetProperty("leads").EnumerateArray()
        .Single(lead => lead.GetProperty("testPoint").GetString() == point).GetProperty("found").GetProperty("state").GetString();
}
