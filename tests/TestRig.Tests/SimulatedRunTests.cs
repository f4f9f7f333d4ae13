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
        var kept = Directory.GetDirectories(Path.Combine(run.Folder, "runs")).Single();
        Assert.All(Directory.GetFiles(Path.Combine(kept, "captures")), file => Assert.Contains("$scope module \\SIMULATED", File.ReadAllText(file), StringComparison.Ordinal));
        Assert.Equal(6, Directory.GetFiles(Path.Combine(kept, "captures")).Length);
        Assert.Contains("<h2>SIMULATED", File.ReadAllText(Path.Combine(kept, "report.html")), StringComparison.Ordinal);
        Assert.Contains("testsuite name=\"SIMULATED", File.ReadAllText(Path.Combine(kept, "junit.xml")), StringComparison.Ordinal);
    }

    /// <summary>Off delays of a 4N25 at 10 kohm may be twice the typical one (DelayLimits): one of 1.9 times that works and is near its limit.</summary>
    [Fact]
    public void Beside_a_dead_isolator_one_that_is_nearly_too_slow_is_proposed_as_a_spare()
    {
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--fault", "OK3=dead", "--fault", "OK2=slow:1.9x", "--json", "record.json");
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("Spares   1 x 4N25 (OK3)\n  also   1 x 4N25 (OK2) in reserve", run.Output, StringComparison.Ordinal);
        var record = new RunRecord(System.Text.Json.JsonDocument.Parse(File.ReadAllText(Path.Combine(run.Folder, "record.json"))).RootElement);
        Assert.Equal("working", record.Conditions["rotate-right"]);
        var spares = record.Root.GetProperty("spares");
        var now = spares.GetProperty("now").EnumerateArray().Single().GetProperty("oneOf").EnumerateArray().Single();
        Assert.Equal(("4N25", 1, "OK3"), (now.GetProperty("type").GetString(), now.GetProperty("count").GetInt32(), now.GetProperty("parts")[0].GetString()));
        Assert.Equal("OK2", spares.GetProperty("marginal").EnumerateArray().Single().GetProperty("part").GetString());
        Assert.Equal(1, spares.GetProperty("inReserve").EnumerateArray().Single().GetProperty("count").GetInt32());
    }

    [Fact]
    public void A_good_board_and_an_open_lead_ask_for_no_spares()
    {
        foreach (var asked in (string[][])[["--adapter", "simulated"], ["--fault", "lead:U3.16=open"]])
        {
            using var run = ProgramRun.ToEnd(["sweep", Repository.DomeProfile, .. asked, "--json", "record.json"]);
            Assert.DoesNotContain("Spares", run.Output, StringComparison.Ordinal);
            var record = new RunRecord(System.Text.Json.JsonDocument.Parse(File.ReadAllText(Path.Combine(run.Folder, "record.json"))).RootElement);
            Assert.False(record.Root.TryGetProperty("spares", out var spares) && spares.ValueKind != System.Text.Json.JsonValueKind.Null);
        }
    }

    [Fact]
    public void Pulses_of_the_simulated_bench_say_so_in_their_result()
    {
        using var run = ProgramRun.ToEnd("pulse", Repository.DomeProfile, "rotate-left", "--fault", "OK3=dead", "--count", "3", "--every", "350 ms");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("Pulses   SIMULATED, no board was tested: 3 of 100 ms on 'rotate-left'.", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void A_limit_switch_that_forbids_the_pulsed_line_is_named_as_the_board_names_it()
    {
        using var run = ProgramRun.ToEnd("pulse", Repository.DomeProfile, "rotate-left", "--fault", "limit-left=stuck-low", "--count", "1");
        Assert.True(run.ExitCode == 4, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("STOPPED  limit-left is low, which forbids line 'rotate-left'", run.Output, StringComparison.Ordinal);
        Assert.Contains(": 0 of 100 ms", run.Output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData]
    [InlineData("--self-test", "D22=A0")]
    public void Adapters_has_no_board_to_simulate_and_says_so(params string[] options)
    {
        using var run = ProgramRun.ToEnd(["adapters", "--adapter", "simulated", .. options]);
        Assert.True(run.ExitCode == 2, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("testrig sweep", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void A_healthy_machine_that_moves_exits_0()
    {
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", "simulated", "--allow-motion", "--json", "-");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.All(RunRecord.Of(run).Conditions.Values, condition => Assert.Equal("working", condition));
    }

    [Fact]
    public void Repeats_are_told_as_means_with_their_spread_on_the_screen_in_the_record_and_in_the_report()
    {
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", "simulated", "--repeat", "4", "--json", "record.json");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("repeat   4 of 4: all 6 working", run.Output, StringComparison.Ordinal);
        Assert.Matches(@"delay  OK1\.5 rises [\d.]+ µs ± [\d.]+ µs after U4\.18, spread [\d.]+ [µn]s, 4 times", run.Output);
        var record = System.Text.Json.JsonDocument.Parse(File.ReadAllText(Path.Combine(run.Folder, "record.json"))).RootElement;
        Assert.Equal(4, record.GetProperty("repeats").GetInt32());
        foreach (var channel in record.GetProperty("channels").EnumerateArray())
        {
            var outcome = Assert.Single(channel.GetProperty("outcomes").EnumerateArray());
            Assert.Equal(("working", 4), (outcome.GetProperty("condition").GetString(), outcome.GetProperty("times").GetInt32()));
            var findings = channel.GetProperty("findings").EnumerateArray().ToList();
            Assert.All(findings, finding => Assert.Equal(4, finding.GetProperty("repeats").GetProperty("number").GetInt32()));
            var timed = findings.Where(finding => finding.TryGetProperty("timing", out _)).ToList();
            Assert.NotEmpty(timed);
            foreach (var finding in timed)
            {
                var mean = finding.GetProperty("repeats").GetProperty("delay");
                Assert.Equal(finding.GetProperty("delay_ps").GetInt64(), mean.GetProperty("value_ps").GetInt64());
                Assert.Equal(finding.GetProperty("expanded_ps").GetInt64(), mean.GetProperty("expanded_ps").GetInt64());
                // Less than twice the standard uncertainty: no sum of two rectangles and a clock's third is normal.
                Assert.InRange(mean.GetProperty("expanded_ps").GetInt64(), 1.6 * mean.GetProperty("uncertainty_ps").GetInt64(), 1.97 * mean.GetProperty("uncertainty_ps").GetInt64());
                Assert.True(mean.GetProperty("spread_ps").GetInt64() >= 0);
            }
            Assert.Contains(findings, finding => finding.TryGetProperty("pulse", out _));
            Assert.Contains(findings, finding => finding.TryGetProperty("reading", out var reading) && reading.GetProperty("minimum_v").GetDouble() <= reading.GetProperty("maximum_v").GetDouble());
        }
        var report = File.ReadAllText(Path.Combine(Directory.GetDirectories(Path.Combine(run.Folder, "runs")).Single(), "report.html"));
        Assert.Contains("working in 4 of 4 repeats", report, StringComparison.Ordinal);
        Assert.Contains("mean of 4, spread", report, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("there is no part 'OK9'. Parts: U3, U4, OK1", "--fault", "OK9=dead")]
    [InlineData("for the simulated bench only", "--fault", "OK3=dead", "--adapter", "serial:nowhere")]
    [InlineData("for the simulated bench only", "--seed", "3", "--adapter", "serial:nowhere")]
    [InlineData("add --adapter simulated", "--seed", "3")]
    [InlineData("--repeat '0' is not understood; write a whole number, 1 or more", "--adapter", "simulated", "--repeat", "0")]
    [InlineData("--adapter 'simulate' is not understood", "--adapter", "simulate")]
    public void What_makes_no_sense_exits_2_and_says_so(string words, params string[] options)
    {
        using var run = ProgramRun.ToEnd(["sweep", Repository.DomeProfile, .. options]);
        Assert.True(run.ExitCode == 2, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(Path.Combine(run.Folder, "runs")));
    }
}
