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

    private static string? StateAt(JsonDocument found, string point) => found.RootElement.GetProperty("leads").EnumerateArray()
        .Single(lead => lead.GetProperty("testPoint").GetString() == point).GetProperty("found").GetProperty("state").GetString();
}
