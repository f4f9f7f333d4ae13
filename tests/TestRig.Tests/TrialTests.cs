using System.Text.Json;
using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>testrig trial, on the simulated bench and through the real firmware on the emulated socket.</summary>
public sealed class TrialTests : IDisposable
{
    private readonly List<ProgramRun> _asked = [];

    public void Dispose() => _asked.ForEach(run => run.Dispose());

    [Fact]
    public void A_batch_has_a_line_for_each_part_and_a_record()
    {
        using var run = ProgramRun.ToEnd("trial", Repository.SocketProfile, "--part", "2=ctr:0.2x", "--part", "3=dead", "--part", "4=leakage:1uA", "--part", "5=empty", "--parts", "6", "--out", "trial", "--json", "-");
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var record = JsonDocument.Parse(run.Output).RootElement;
        Assert.Equal(("testrig-trial/1", "4N25", "violates"), (record.GetProperty("format").GetString(), record.GetProperty("type").GetString(), record.GetProperty("verdict").GetString()));
        Assert.Equal(
            ["conforms", "violates", "violates", "violates", "violates", "conforms"],
            record.GetProperty("parts").EnumerateArray().Select(part => part.GetProperty("verdict").GetString()));
        Assert.Contains("all figures fit 4N27", record.GetProperty("parts")[1].GetProperty("suspicions")[0].GetString(), StringComparison.Ordinal);
        Assert.Contains("Suspicion, not proof", File.ReadAllText(Path.Combine(run.Folder, "trial", "trial.html")), StringComparison.Ordinal);
    }

    /// <summary>All of it is asked of a batch that is kept in a store of its own.</summary>
    [Fact]
    public void A_batch_is_a_run_that_is_told_again_from_the_store()
    {
        using var trial = ProgramRun.ToEnd("trial", Repository.SocketProfile, "--part", "2=ctr:0.2x", "--part", "3=dead", "--parts", "5", "--serial", "1984-007", "--out", "trial", "--json", "trial.json").WaitForEnd(1);
        var run = Runs(trial, "list", "--kind", "trial", "--serial", "1984-007", "--json", "-").WaitForEnd(0);
        var entry = JsonDocument.Parse(run.Output).RootElement.GetProperty("runs").EnumerateArray().Single();
        Assert.Equal(("trial", 5, 2), (entry.GetProperty("kind").GetString(), entry.GetProperty("cycles").GetInt32(), entry.GetProperty("failingCycles").GetInt32()));
        var name = entry.GetProperty("name").GetString()!;
        Assert.Contains($"Again    testrig runs show {name}", trial.Output, StringComparison.Ordinal);
        Assert.Contains("No such runs", Runs(trial, "list", "--kind", "sweep").WaitForEnd(0).Output, StringComparison.Ordinal);

        var show = Runs(trial, "show", name, "--json", "again.json").WaitForEnd(0);
        string[] Told(string output) => [.. output.Split('\n').SkipWhile(line => !line.StartsWith("Part ", StringComparison.Ordinal)).TakeWhile(line => !line.StartsWith("Again ", StringComparison.Ordinal)).Where(line => line.Length > 0)];
        Assert.Equal(Told(trial.Output), Told(show.Output));
        Assert.True(Told(show.Output).Length > 10);
        Assert.Equal(File.ReadAllText(Path.Combine(trial.Folder, "trial.json")), File.ReadAllText(Path.Combine(show.Folder, "again.json")));

        var report = Stored(trial, "report", name, "--out", "again").WaitForEnd(0);
        foreach (var file in (string[])["trial.html", "trial.json"])
            Assert.Equal(File.ReadAllText(Path.Combine(trial.Folder, "trial", file)), File.ReadAllText(Path.Combine(report.Folder, "again", file)));
        var export = Runs(trial, "export", name, "--to", "parts.csv").WaitForEnd(0);
        Assert.Equal(26, File.ReadAllLines(Path.Combine(export.Folder, "parts.csv")).Length);
        Assert.Contains("25 rows of 5 parts", export.Output, StringComparison.Ordinal);

        Stored(trial, "note", name, "delivery of March").WaitForEnd(0);
        Assert.Contains("delivery of March", Runs(trial, "show", name).WaitForEnd(0).Output, StringComparison.Ordinal);
        Assert.Contains("delivery of March", File.ReadAllText(Path.Combine(Stored(trial, "report", name, "--out", "noted").WaitForEnd(0).Folder, "noted", "trial.html")), StringComparison.Ordinal);
        Assert.Contains("trial of 5 parts: 2 parts outside the limits", Stored(trial, "history", "1984-007").WaitForEnd(0).Output, StringComparison.Ordinal);

        foreach (var words in (string[][])[["plot", name], ["compare", name, name], ["runs", "judge", name], ["report", name, "--profile", Repository.SocketProfile], ["soak", Repository.SocketProfile, "--resume", name, "--adapter", "simulated"]])
        {
            var refused = Stored(trial, words).WaitForEnd(2);
            Assert.Matches("is a trial|is no soak", refused.Error);
            Assert.Matches("'testrig (report|runs show) |Leave --profile out", refused.Error);
        }

        Runs(trial, "delete", name, "--for-good").WaitForEnd(0);
        Assert.Contains("No such runs", Runs(trial, "list").WaitForEnd(0).Output, StringComparison.Ordinal);
    }

    [Fact]
    public void The_command_that_tells_a_trial_again_names_the_store_where_it_is()
    {
        using var trial = ProgramRun.ToEnd("trial", Repository.SocketProfile, "--adapter", "simulated", "--parts", "1", "--store", "kept.db").WaitForEnd(0);
        Assert.Matches($"Again    testrig runs show isolator-socket-[0-9]+-[0-9]+ --store {Path.Combine(trial.Folder, "kept.db")}\\n", trial.Output);
    }

    /// <summary>Killed while it asks for the third of fifty parts: whatever was told of the first two is in the store.</summary>
    [Fact]
    public void After_a_kill_in_a_batch_every_part_that_was_told_is_there()
    {
        using var bench = EmulatedBench.Start(faults: ["DUT=removed"], board: Repository.SocketBoard);
        using var trial = ProgramRun.StartAnswered("trial", Repository.SocketProfile, "--adapter", bench.Adapter, "--parts", "50");
        trial.WaitFor("Take any part out");
        trial.Answer("");
        trial.WaitFor("Part 1");
        bench.Tell("repair all");
        trial.Answer("");
        trial.WaitFor("Part 2");
        bench.Tell("fault DUT=dead");
        trial.Answer("");
        trial.WaitFor("Part 3");
        trial.Kill();

        var list = JsonDocument.Parse(Runs(trial, "list", "--json", "-").WaitForEnd(0).Output).RootElement.GetProperty("runs")[0];
        Assert.False(list.TryGetProperty("verdict", out _));
        var show = Runs(trial, "show", list.GetProperty("name").GetString()!, "--json", "-").WaitForEnd(0);
        var record = JsonDocument.Parse(show.Output).RootElement;
        Assert.Equal(["conforms", "violates"], record.GetProperty("parts").EnumerateArray().Select(part => part.GetProperty("verdict").GetString()));
        Assert.Contains("Ended by nobody", record.GetProperty("ending").GetString(), StringComparison.Ordinal);
        var told = trial.Output.Split('\n').Where(line => line.StartsWith("   1  ", StringComparison.Ordinal) || line.StartsWith("   2  ", StringComparison.Ordinal)).ToList();
        Assert.Equal(2, told.Count);
        var text = Runs(trial, "show", list.GetProperty("name").GetString()!).WaitForEnd(0).Output;
        Assert.All(told, line => Assert.Contains(line, text, StringComparison.Ordinal));
    }

    [Fact]
    public void Where_the_store_takes_no_more_the_batch_ends_and_all_that_was_found_is_told()
    {
        using var bench = EmulatedBench.Start(faults: ["DUT=removed"], board: Repository.SocketBoard);
        using var trial = ProgramRun.StartAnswered("trial", Repository.SocketProfile, "--adapter", bench.Adapter, "--parts", "50", "--json", "trial.json");
        trial.WaitFor("Take any part out");
        trial.Answer("");
        trial.WaitFor("Part 1");
        bench.Tell("repair all");
        trial.Answer("");
        trial.WaitFor("Part 2");
        StoreFile.Change(StoreOf(trial), "create trigger full before insert on trial_part begin select raise(abort, 'no more'); end");
        trial.Answer("");
        trial.WaitForEnd(5);
        Assert.Contains("STOPPED  The run store takes no more: part 2 is told here, and not kept.", trial.Output, StringComparison.Ordinal);
        Assert.Equal(2, JsonDocument.Parse(File.ReadAllText(Path.Combine(trial.Folder, "trial.json"))).RootElement.GetProperty("parts").GetArrayLength());
        Assert.Equal(1, JsonDocument.Parse(Runs(trial, "list", "--json", "-").WaitForEnd(0).Output).RootElement.GetProperty("runs")[0].GetProperty("cycles").GetInt32());
    }

    [Fact]
    public void A_store_that_cannot_be_used_is_told_before_the_first_part()
    {
        using var trial = ProgramRun.Start(new Dictionary<string, string> { ["TESTRIG_STORE"] = "/sys/runs.db" }, ["trial", Repository.SocketProfile, "--adapter", "simulated", "--parts", "1"]).WaitForEnd(5);
        Assert.Contains("another store with --store", trial.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("Part ", trial.Output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--type", "4N99", "It has 4N25, 4N27, 4N35, CNY17-3")]
    [InlineData("--part", "2=melted", "a part cannot be 'melted'")]
    [InlineData("--part", "x=dead", "write NUMBER=HOW")]
    [InlineData("--part", "2=slow:fast", "DUT")]
    public void What_cannot_be_in_the_socket_is_bad_usage(string option, string value, string words)
    {
        using var run = ProgramRun.ToEnd("trial", Repository.SocketProfile, "--adapter", "simulated", option, value);
        Assert.True(run.ExitCode == 2, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void A_board_that_is_no_socket_is_bad_usage()
    {
        using var run = ProgramRun.ToEnd("trial", Repository.DomeProfile, "--adapter", "simulated");
        Assert.True(run.ExitCode == 2, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("is no socket", run.Error, StringComparison.Ordinal);
    }

    /// <summary>The board file's own values have to lie within what is stated of the measured ones. Its delays are 5 µs and 40 µs.</summary>
    [Theory]
    [InlineData("ratio=70%", 0.7, 2e-9, "conforms", 0)]
    [InlineData("ratio=14%", 0.14, 2e-9, "violates", 1)]
    [InlineData("ratio=20%", 0.2, 2e-9, "not-resolved", 6)]
    [InlineData("ratio=70% leakage=600nA", 0.7, 600e-9, "violates", 1)]
    public void Through_the_firmware_the_figures_are_those_of_the_board_file(string words, double ratio, double leakage, string verdict, int exit)
    {
        using var board = new WrittenBoard(words);
        using var bench = EmulatedBench.Start(faults: ["DUT=removed"], board: board.Path);
        var part = TryOne(bench, exit);
        Assert.Equal(verdict, part.GetProperty("verdict").GetString());
        Within(part, "transfer-ratio", ratio);
        Within(part, "leakage", leakage);
        Within(part, "led-forward", 1.15);
        Within(part, "on-delay", 5e-6);
        Within(part, "off-delay", 40e-6);
    }

    [Theory]
    [InlineData("DUT=dead", "transfer-ratio")]
    [InlineData("DUT=slow:6x", "off-delay")]
    [InlineData("DUT=removed", "led-forward")]
    public void Through_the_firmware_a_bad_part_violates_by_its_own_figure(string fault, string figure)
    {
        using var bench = EmulatedBench.Start(faults: ["DUT=removed"], board: Repository.SocketBoard);
        var part = TryOne(bench, 1, fault);
        Assert.Equal("violates", Figure(part, figure).GetProperty("verdict").GetString());
    }

    [Fact]
    public void A_socket_that_is_not_empty_at_first_is_told_and_nothing_is_tried()
    {
        using var bench = EmulatedBench.Start(board: Repository.SocketBoard);
        using var run = ProgramRun.StartAnswered("trial", Repository.SocketProfile, "--adapter", bench.Adapter);
        run.Answer("");
        run.WaitForEnd(6);
        Assert.Contains("the socket is not empty", run.Output, StringComparison.Ordinal);
        Assert.Contains("the socket is not empty", Runs(run, "list", "--json", "-").WaitForEnd(0).Output, StringComparison.Ordinal);
    }

    /// <summary>A command on the runs of the store that a trial was kept in.</summary>
    private ProgramRun Runs(ProgramRun trial, params string[] words) => Stored(trial, ["runs", .. words]);

    private ProgramRun Stored(ProgramRun trial, params string[] words)
    {
        _asked.Add(ProgramRun.Start([.. words, "--store", StoreOf(trial)]));
        return _asked[^1];
    }

    private static string StoreOf(ProgramRun trial) => Path.Combine(trial.Folder, "runs.db");

    /// <summary>Measures the empty socket, puts the part in, and tries it.</summary>
    private static JsonElement TryOne(EmulatedBench bench, int exit, string? fault = null)
    {
        using var run = ProgramRun.StartAnswered("trial", Repository.SocketProfile, "--adapter", bench.Adapter, "--json", "-", "--parts", "1");
        run.WaitFor("Take any part out");
        run.Answer("");
        run.WaitFor("Part 1");
        bench.Tell("repair all");
        if (fault is not null)
            bench.Tell($"fault {fault}");
        run.Answer("");
        run.WaitForEnd(exit);
        return JsonDocument.Parse(run.Output).RootElement.GetProperty("parts")[0].Clone();
    }

    private static JsonElement Figure(JsonElement part, string name) => part.GetProperty("figures").EnumerateArray().Single(figure => figure.GetProperty("figure").GetString() == name);

    private static void Within(JsonElement part, string name, double expected)
    {
        var figure = Figure(part, name);
        var (value, uncertainty) = (figure.GetProperty("value").GetDouble(), figure.GetProperty("uncertainty").GetDouble());
        Assert.InRange(expected, value - uncertainty, value + uncertainty);
    }

    /// <summary>The socket's board with other words for what is in it: of two of one key the last holds.</summary>
    private sealed class WrittenBoard : IDisposable
    {
        private readonly DirectoryInfo _folder = TestFolders.Create();

        public WrittenBoard(string words) =>
            File.WriteAllText(Path, File.ReadAllText(Repository.SocketBoard).Replace("off=40us", $"off=40us {words}", StringComparison.Ordinal));

        public string Path => System.IO.Path.Combine(_folder.FullName, "socket.board");

        public void Dispose() => _folder.Delete(recursive: true);
    }
}
