using System.Text.Json;

namespace TestRig.Tests;

/// <summary>The recording that comes with the profiles, judged by the whole program, and kept.</summary>
public class RecordingRunTests
{
    private static readonly string _recording = Path.Combine(Repository.Root, "profiles", "recordings", "tide-gauge.vcd");

    [Fact]
    public void A_recording_is_kept_with_its_boards_serial_number_and_is_listed_as_one()
    {
        using var judged = ProgramRun.ToEnd("judge", Repository.TideGaugeProfile, _recording, "--serial", "TG-12");
        var kept = new Dictionary<string, string> { ["TESTRIG_STORE"] = Path.Combine(judged.Folder, "runs.db") };
        using var list = ProgramRun.Start(kept, ["runs", "list", "--json", "-"]).WaitForEnd(0);
        using var json = JsonDocument.Parse(list.Output);
        var run = Assert.Single(json.RootElement.GetProperty("runs").EnumerateArray());
        Assert.Equal(("TG-12", true, false), (run.GetProperty("serial").GetString(), run.GetProperty("recording").GetBoolean(), run.GetProperty("simulated").GetBoolean()));
        using var shown = ProgramRun.Start(kept, ["runs", "list"]).WaitForEnd(0);
        Assert.Contains("(recording)", string.Join(' ', shown.Output.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries)), StringComparison.Ordinal);
        using var history = ProgramRun.Start(kept, ["history", "TG-12"]).WaitForEnd(0);
        Assert.Matches(@"Run      \d{4}-\d\d-\d\d \d\d:\d\d recording: ", history.Output);
        var report = File.ReadAllText(Path.Combine(Directory.GetDirectories(Path.Combine(judged.Folder, "runs")).Single(), "report.html"));
        Assert.Contains("TG-12", report, StringComparison.Ordinal);
        Assert.Contains("Nothing was driven to judge this recording", report, StringComparison.Ordinal);
        Assert.DoesNotContain("the adapter holds lines high", report, StringComparison.Ordinal);
    }

    [Fact]
    public void Through_a_pipe_and_packed_it_is_found_as_from_its_file()
    {
        using var fromFile = ProgramRun.ToEnd("judge", Repository.TideGaugeProfile, _recording);
        string[] packed = ["sh", "-c", $"gzip -c '{_recording}' | \"$@\"", "sh"];
        using var fromPipe = ProgramRun.Start(packed, new Dictionary<string, string>(), ["judge", Repository.TideGaugeProfile, "-"]).WaitForEnd(fromFile.ExitCode);
        Assert.Equal(Found(fromFile), Found(fromPipe));
        Assert.Contains("File     standard input", fromPipe.Output, StringComparison.Ordinal);

        using var cut = ProgramRun.Start(["sh", "-c", $"gzip -c '{_recording}' | head -c 400 | \"$@\"", "sh"], new Dictionary<string, string>(), ["judge", Repository.TideGaugeProfile, "-"]).WaitForEnd(2);
        Assert.Contains("standard input: its gzip data are cut off within the first 400 bytes", cut.Error, StringComparison.Ordinal);
    }

    /// <summary>A read of a pipe cannot be cancelled: the program does not wait for it. Ended by force, the code would be another one.</summary>
    [Fact]
    public void Whoever_waits_for_a_pipe_that_gives_nothing_can_cancel()
    {
        using var waiting = ProgramRun.StartAnswered("judge", Repository.TideGaugeProfile, "-").WaitFor("standard input");
        waiting.Interrupt();
        waiting.WaitForEnd(6);
        Assert.Contains("Cancelled.", waiting.Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(Path.Combine(waiting.Folder, "runs")));
    }

    private static IEnumerable<string> Found(ProgramRun run) => run.Output.Split('\n').Where(line => line.StartsWith("channel", StringComparison.Ordinal) || line.StartsWith("Verdict", StringComparison.Ordinal) || line.StartsWith("Fault", StringComparison.Ordinal));
}
