using TestRig.Tests.Expectations;
using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>The main job, whole: program, serial port, real firmware, emulated chip, emulated board.</summary>
public class SweepTests
{
    private static readonly string[] _channels = ["rotate-left", "rotate-right", "shutter-open", "shutter-close", "flap-raise", "flap-lower"];

    [Fact]
    public void A_healthy_board_exits_0_with_every_channel_working_and_a_picture_of_each()
    {
        using var bench = EmulatedBench.Start();
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--json", "-", "--out", "record");
        Assert.True(run.ExitCode == 0, run.Error);
        var record = RunRecord.Of(run);
        Assert.Equal(_channels, record.Conditions.Keys);
        Assert.All(record.Conditions.Values, condition => Assert.Equal("working", condition));
        Assert.Empty(record.FirstSuspects);
        Assert.Equal("testrig-run/1", record.Root.GetProperty("format").GetString());
        Assert.Equal(62_500, record.Root.GetProperty("adapter").GetProperty("tick_ps").GetInt64());
        foreach (var channel in record.Root.GetProperty("channels").EnumerateArray())
        {
            var picture = File.ReadAllBytes(Path.Combine(run.Folder, "record", channel.GetProperty("plot").GetString()!));
            Assert.Equal([0x89, (byte)'P', (byte)'N', (byte)'G'], picture.AsSpan(0, 4).ToArray()); // PNG signature, ISO/IEC 15948 5.2 (value from memory)
        }
        Assert.Equal(run.Output.Trim(), File.ReadAllText(Path.Combine(run.Folder, "record", "run.json")).Trim());
    }

    /// <summary>One fault each. Nothing but the emulated board knows of it.</summary>
    [Theory]
    [MemberData(nameof(DomeFaults.All), MemberType = typeof(DomeFaults))]
    public void One_fault_exits_1_and_is_named(string fault, bool moves, string channels, string condition, string suspect)
    {
        using var bench = EmulatedBench.Start([fault], motorOn: moves);
        string[] motion = moves ? ["--allow-motion"] : [];
        using var run = ProgramRun.ToEnd(["sweep", Repository.DomeProfile, "--adapter", bench.Adapter, .. motion, "--json", "-"]);
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var record = RunRecord.Of(run);
        Assert.All(_channels, channel => Assert.Equal(DomeFaults.Concerns(channels, channel) ? condition : "working", record.Conditions[channel]));
        Assert.Contains(suspect, record.FirstSuspects);
    }

    /// <summary>Each round moves each line once, and each line has its rest in between: 250 ms by the profile.</summary>
    [Fact]
    public void A_repeated_sweep_with_motion_moves_as_often_as_was_asked_and_keeps_the_rests()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--allow-motion", "--repeat", "2", "--json", "-");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.All(RunRecord.Of(run).Root.GetProperty("channels").EnumerateArray(), channel => Assert.Equal(2, channel.GetProperty("outcomes")[0].GetProperty("times").GetInt32()));
        var lines = bench.EndAndReadLines();
        Assert.Equal(12, lines.Count);
        foreach (var line in lines.GroupBy(line => line.Pin))
        {
            var times = line.OrderBy(time => time.From).ToList();
            Assert.Equal(2, times.Count);
            Assert.True(times[1].From - times[0].To!.Value >= 250_000_000 * 0.995, $"{line.Key}: {times[1].From - times[0].To} ns of rest");
        }
    }

    [Theory]
    [InlineData(null, "working")]
    [InlineData("OK3=dead", "dead")]
    public void Channels_swept_together_are_judged_as_one_by_one(string? fault, string condition)
    {
        using var bench = EmulatedBench.Start(fault is null ? [] : [fault]);
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--fast", "--json", "-");
        Assert.True(run.ExitCode == (fault is null ? 0 : 1), $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var record = RunRecord.Of(run);
        Assert.All(_channels, channel => Assert.Equal(channel == "shutter-open" ? condition : "working", record.Conditions[channel]));
        Assert.True(record.Root.GetProperty("together").GetBoolean());
        // Three lines at a time; where one of three is faulty, each of them once more.
        var lines = bench.EndAndReadLines();
        Assert.Equal(fault is null ? 6 : 9, lines.Count);
        var mostTogether = lines.Max(line => lines.Count(other => other.From <= line.From && line.From < other.To));
        Assert.Equal(3, mostTogether);
    }

    [Fact]
    public void A_healthy_machine_that_moves_exits_0_and_no_line_outlasts_its_limit()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--allow-motion", "--json", "-");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("WILL MOVE", run.Error, StringComparison.Ordinal);
        var lines = bench.EndAndReadLines();
        Assert.Equal(6, lines.Count);
        Assert.All(lines, line => Assert.InRange(line.Length(long.MaxValue), 1, 500_000_000)); // longest-on of the profile
    }

    [Fact]
    public void A_motor_supply_that_is_on_stops_a_logic_only_sweep_before_anything_is_driven()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 4, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.All(RunRecord.Of(run).Conditions.Values, condition => Assert.Equal("not-tested", condition));
        Assert.Empty(bench.EndAndReadLines());
    }

    [Fact]
    public void A_pressed_emergency_stop_leaves_every_channel_not_tested_and_nothing_driven()
    {
        using var bench = EmulatedBench.Start();
        bench.Tell("press emergency-stop");
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 4, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.All(RunRecord.Of(run).Conditions.Values, condition => Assert.Equal("not-tested", condition));
        Assert.Empty(bench.EndAndReadLines());
    }

    [Fact]
    public void A_machine_parked_on_a_limit_leaves_only_the_channel_that_it_forbids_not_tested()
    {
        using var bench = EmulatedBench.Start();
        bench.Tell("press limit-left");
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 6, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.All(RunRecord.Of(run).Conditions, entry => Assert.Equal(entry.Key == "rotate-left" ? "not-tested" : "working", entry.Value));
        Assert.DoesNotContain(bench.EndAndReadLines(), line => line.Pin == "D22");
    }

    [Fact]
    public void A_folder_that_holds_a_run_already_is_not_written_over()
    {
        using var bench = EmulatedBench.Start();
        var folder = TestFolders.Create().FullName;
        File.WriteAllText(Path.Combine(folder, "run.json"), "old");
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--out", folder);
        Assert.Equal(5, run.ExitCode);
        Assert.Equal("old", File.ReadAllText(Path.Combine(folder, "run.json")));
        Assert.Contains("--out", run.Error, StringComparison.Ordinal);
        Directory.Delete(folder, recursive: true);
    }
}
