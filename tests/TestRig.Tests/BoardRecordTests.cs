using System.Text.Json;
using System.Xml.Linq;

namespace TestRig.Tests;

/// <summary>A repair as it goes on record: a sweep finds a dead part, the part is replaced and noted, a second sweep proves it, and years later all of it is told.</summary>
public sealed class BoardRecordTests(BoardRecordTests.Repaired repaired) : IClassFixture<BoardRecordTests.Repaired>
{
    private const string Serial = "1984-007";

    public sealed class Repaired : IDisposable
    {
        private readonly List<ProgramRun> _runs = [];

        public Repaired()
        {
            Before = Sweep("--fault", "OK3=dead", "--serial", Serial);
            Note = Command(0, "note", Before, "The socket was dark; cleaned.", "--replaced", "ok3=4N25, date code 2419", "--by", "anna");
            After = Sweep("--adapter", "simulated", "--serial", Serial.ToLowerInvariant());
        }

        private IReadOnlyDictionary<string, string> Environment => new Dictionary<string, string> { ["TESTRIG_STORE"] = Path.Combine(_runs.Count == 0 ? Path.GetTempPath() : _runs[0].Folder, "runs.db") };

        public string Before { get; }

        public string After { get; }

        internal ProgramRun Note { get; }

        internal ProgramRun Command(int exit, params string[] words)
        {
            _runs.Add(ProgramRun.Start(Environment, words).WaitForEnd(exit));
            return _runs[^1];
        }

        private string Sweep(params string[] words)
        {
            string[] line = ["sweep", Repository.DomeProfile, .. words];
            var run = _runs.Count == 0 ? ProgramRun.Start(line) : ProgramRun.Start(Environment, line);
            _runs.Add(run.WaitForEnd(words[0] == "--fault" ? 1 : 0));
            return Path.GetFileName(Directory.GetDirectories(Path.Combine(run.Folder, "runs")).Single());
        }

        public void Dispose() => _runs.ForEach(run => run.Dispose());
    }

    [Fact]
    public void The_history_of_a_board_has_its_runs_what_failed_and_what_was_replaced()
    {
        var history = repaired.Command(0, "history", Serial, "--json", "history.json");
        Assert.Matches(@"Board    Dome drive.*, serial number 1984-007\n", history.Output);
        Assert.Matches($@"Run      \d{{4}}-\d\d-\d\d \d\d:\d\d sweep: shutter-open dead \(SIMULATED, {repaired.Before}\)\n  Note   .*, anna: OK3 \(4N25, date code 2419\) replaced. The socket was dark; cleaned.\nRun      .* sweep: nothing failed \(SIMULATED, {repaired.After}\)\nReplaced OK3, once: ", history.Output);
        using var json = JsonDocument.Parse(File.ReadAllText(Path.Combine(history.Folder, "history.json")));
        var runs = json.RootElement.GetProperty("boards")[0].GetProperty("runs");
        Assert.Equal([repaired.Before, repaired.After], runs.EnumerateArray().Select(run => run.GetProperty("name").GetString()));
        Assert.Equal("OK3", runs[0].GetProperty("notes")[0].GetProperty("replaced")[0].GetProperty("part").GetString());
        Assert.Equal("dead", runs[0].GetProperty("failures")[0].GetProperty("condition").GetString());
    }

    [Fact]
    public void A_board_is_found_by_a_part_of_its_name_as_well_and_one_that_is_not_there_is_told()
    {
        Assert.Contains(repaired.After, repaired.Command(0, "history", "dome").Output, StringComparison.Ordinal);
        Assert.Contains("No run in ", repaired.Command(2, "history", "1984-008").Error, StringComparison.Ordinal);
    }

    [Fact]
    public void Before_and_after_are_compared_with_what_was_noted_between_them()
    {
        var compare = repaired.Command(0, "compare", repaired.Before, repaired.After, "--out", "compared", "--json", "c.json");
        Assert.Matches(@"Note     .*anna: OK3 \(4N25, date code 2419\) replaced", compare.Output);
        Assert.Contains("Channel  shutter-open, better. Dead before (1 cycle), working after (1).", compare.Output, StringComparison.Ordinal);
        Assert.Contains("better: shutter-open; as before: 5 of 6 channels.", compare.Output, StringComparison.Ordinal);
        using var json = JsonDocument.Parse(File.ReadAllText(Path.Combine(compare.Folder, "c.json")));
        Assert.Equal("better", json.RootElement.GetProperty("channels").EnumerateArray().Single(channel => channel.GetProperty("name").GetString() == "shutter-open").GetProperty("standing").GetString());
        var page = XDocument.Parse(File.ReadAllText(Path.Combine(compare.Folder, "compared", "compare.html")));
        Assert.Contains($"shutter-open of {repaired.Before} is laid over it, dashed", Assert.Single(page.Descendants("img")).Attribute("alt")!.Value, StringComparison.Ordinal);
        Assert.True(File.Exists(Path.Combine(compare.Folder, "compared", "waveforms", "shutter-open.png")));
    }

    [Fact]
    public void The_other_way_round_it_got_worse() =>
        Assert.Contains("worse: shutter-open", repaired.Command(1, "compare", repaired.After, repaired.Before).Output, StringComparison.Ordinal);

    [Fact]
    public void The_report_written_again_has_serial_number_and_notes_and_so_has_what_is_shown()
    {
        var report = repaired.Command(0, "report", repaired.Before, "--out", "again");
        var page = XDocument.Parse(File.ReadAllText(Path.Combine(report.Folder, "again", "report.html")));
        Assert.Contains("Serial number1984-007", page.Descendants("dl").First().Value, StringComparison.Ordinal);
        Assert.Contains("annaOK3 (4N25, date code 2419) replaced.", page.Descendants("section").Single(section => section.Attribute("id")?.Value == "notes").Value, StringComparison.Ordinal);
        using var json = JsonDocument.Parse(File.ReadAllText(Path.Combine(report.Folder, "again", "run.json")));
        Assert.Equal(Serial, json.RootElement.GetProperty("serial").GetString());
        Assert.Equal("anna", json.RootElement.GetProperty("notes")[0].GetProperty("by").GetString());
        Assert.Contains("Note     ", repaired.Command(0, "runs", "show", repaired.Before).Output, StringComparison.Ordinal);
        Assert.Contains("OK3 (4N25, date code 2419) replaced", repaired.Command(0, "note", repaired.Before).Output, StringComparison.Ordinal);
        Assert.Contains("none yet", repaired.Command(0, "note", repaired.After).Output, StringComparison.Ordinal);
    }

    [Fact]
    public void What_cannot_be_noted_or_compared_is_told_with_the_remedy()
    {
        Assert.Contains("the board has no part 'OK9'; did you mean 'OK1'?", repaired.Command(2, "note", repaired.Before, "--replaced", "OK9").Error, StringComparison.Ordinal);
        Assert.Contains("is no serial number", repaired.Command(2, "note", repaired.Before, "--serial", " ").Error, StringComparison.Ordinal);
        Assert.Contains("There is no run 'nobody'", repaired.Command(2, "note", "nobody", "words").Error, StringComparison.Ordinal);
        Assert.Contains("There is no run 'nobody'", repaired.Command(2, "compare", repaired.Before, "nobody").Error, StringComparison.Ordinal);
        Assert.Contains("4000 characters at most", repaired.Command(2, "note", repaired.Before, new string('x', 4001)).Error, StringComparison.Ordinal);
    }
}
