using System.Text.RegularExpressions;

namespace TestRig.Tests;

/// <summary>What was found out is told and kept, whatever happens to the place where it is kept.</summary>
public class RecordTests
{
    [Fact]
    public void A_folder_that_stops_taking_files_exits_5_and_the_verdict_is_told_all_the_same()
    {
        using var bench = EmulatedBench.Start(["OK3=dead"], motorOn: true);
        using var run = ProgramRun.Start("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--allow-motion", "--out", "record");
        bench.WaitForLines(lines => lines.Contains("=on", StringComparison.Ordinal));
        // From here on no picture can be written, not even by root.
        File.WriteAllText(Path.Combine(run.Folder, "record", "waveforms"), "");
        run.WaitForEnd();
        Assert.True(run.ExitCode == 5, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("OK3: never conducts", run.Output, StringComparison.Ordinal);
        Assert.Contains("Verdict", run.Output, StringComparison.Ordinal);
        Assert.Contains("--out", run.Error, StringComparison.Ordinal);
        Assert.Contains("\"condition\": \"dead\"", File.ReadAllText(Path.Combine(run.Folder, "record", "run.json")), StringComparison.Ordinal);
    }

    [Fact]
    public void A_json_file_that_cannot_be_written_exits_5_and_the_folder_holds_the_record()
    {
        using var bench = EmulatedBench.Start();
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--out", "record", "--json", "no-such-folder/run.json");
        Assert.True(run.ExitCode == 5, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("6 of 6 channels working", run.Output, StringComparison.Ordinal);
        Assert.Contains("no-such-folder/run.json", run.Error, StringComparison.Ordinal);
        Assert.True(File.Exists(Path.Combine(run.Folder, "record", "run.json")));
    }

    [Fact]
    public void Every_line_of_the_log_has_its_instant_with_offset_and_its_run()
    {
        using var bench = EmulatedBench.Start(["OK3=dead"]);
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--out", "record-7");
        var lines = File.ReadAllLines(Path.Combine(run.Folder, "record-7", "run.log"));
        Assert.All(lines, line => Assert.Matches(@"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}[+-]\d\d:\d\d [A-Z]{3} record-7 ", line));
        Assert.Contains(lines, line => Regex.IsMatch(line, "Channel shutter-open: dead\\. OK3\\.5 "));
        Assert.EndsWith("Ended: complete. 5 of 6 channels working, 1 faulty.", lines[^1].TrimEnd(), StringComparison.Ordinal);
    }

    [Fact]
    public void A_file_in_the_place_of_the_folder_exits_5_and_says_so()
    {
        using var bench = EmulatedBench.Start();
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--out", Repository.DomeProfile);
        Assert.Equal(5, run.ExitCode);
        Assert.Contains("is a file", run.Error, StringComparison.Ordinal);
        Assert.Empty(bench.EndAndReadLines());
    }

    [Fact]
    public void A_terminated_program_ends_the_burst_keeps_the_record_and_exits_6()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = ProgramRun.Start("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--allow-motion", "--out", "record");
        bench.WaitForLines(lines => lines.Contains("=on", StringComparison.Ordinal));
        run.Terminate();
        run.WaitForEnd();
        Assert.True(run.ExitCode == 6, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.True(File.Exists(Path.Combine(run.Folder, "record", "run.json")));
        Assert.Single(bench.EndAndReadLines());
    }
}
