using System.Text.Json;
using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>testrig trial, on the simulated bench and through the real firmware on the emulated socket.</summary>
public class TrialTests
{
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
    }

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
