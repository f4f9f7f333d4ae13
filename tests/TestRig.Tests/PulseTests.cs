using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>One line over and over, judged by the emulated board's own log on its own clock.</summary>
public class PulseTests
{
    /// <summary>A pin that the profile leaves free and that the adapter can drive.</summary>
    private const string Marker = "D28";

    [Fact]
    public void A_count_gives_so_many_pulses_of_that_length_with_the_marker_beside_them()
    {
        var board = Path.Combine(TestFolders.Create().FullName, "marked.board");
        File.WriteAllText(board, File.ReadAllText(Repository.DomeBoard) + $"\nline {Marker} net=MARKER active=high\n");
        using var bench = EmulatedBench.Start(board: board);
        using var run = Pulse(bench, "rotate-left", "--on", "20ms", "--every", "300 ms", "--count", "4", "--marker", Marker);
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("4 of 20 ms on 'rotate-left'", run.Output, StringComparison.Ordinal);
        var all = bench.EndAndReadLines();
        Directory.Delete(Path.GetDirectoryName(board)!, recursive: true);
        var lines = all.Where(line => line.Pin == "D22").ToList();
        var markers = all.Where(line => line.Pin == Marker).ToList();
        Assert.Equal(8, all.Count);
        // Both on one port of the chip: one instruction switches them.
        Assert.Equal(lines.Select(line => (line.From, line.To)), markers.Select(marker => (marker.From, marker.To)));
        // The device times them on its own crystal; the emulated one has no error, and a step waits for less than 20 µs (firmware-notes/timing.md).
        Assert.All(lines, line => Assert.InRange(line.Length(long.MaxValue), 19_980_000, 20_020_000));
        // Rest of the profile: 250 ms between two activations.
        Assert.All(lines.Zip(lines.Skip(1)), pair => Assert.True(pair.Second.From - pair.First.To >= 250_000_000));
    }

    [Fact]
    public void Ctrl_C_ends_a_train_without_a_count_with_exit_0_and_every_line_idle()
    {
        using var bench = EmulatedBench.Start();
        using var run = ProgramRun.Start("pulse", Repository.DomeProfile, "flap-raise", "--adapter", bench.Adapter, "--on", "100 ms", "--every", "400 ms");
        bench.WaitForLines(lines => lines.Contains("D26=on", StringComparison.Ordinal));
        run.Interrupt();
        run.WaitForEnd();
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var lines = bench.EndAndReadLines();
        Assert.NotEmpty(lines);
        Assert.All(lines, line => Assert.InRange(line.Length(long.MaxValue), 1, 100_020_000));
    }

    [Theory]
    [InlineData("longer than line 'rotate-left' may be on", "--on", "501 ms", "--every", "2 s")]
    [InlineData("leaves line 'rotate-left' no rest", "--on", "100 ms", "--every", "349 ms")]
    [InlineData("line 'rotate-right' of the profile is wired to that pin", "--marker", "D23")]
    [InlineData("cannot drive such a pin", "--marker", "X1")]
    public void What_breaks_a_limit_is_refused_before_anything_is_driven(string words, params string[] options)
    {
        using var bench = EmulatedBench.Start();
        using var run = Pulse(bench, "rotate-left", options);
        Assert.True(run.ExitCode == 2, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
        Assert.Empty(bench.EndAndReadLines());
    }

    [Theory]
    [InlineData("--on", "100", "has no unit")]
    [InlineData("--every", "0 s", "a time of 0")]
    [InlineData("--count", "0", "1 or more")]
    public void A_value_that_cannot_be_is_refused_with_its_remedy(string option, string value, string words)
    {
        using var run = ProgramRun.ToEnd("pulse", Repository.DomeProfile, "rotate-left", option, value);
        Assert.Equal(2, run.ExitCode);
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void A_line_that_is_not_in_the_profile_is_refused_with_those_that_are()
    {
        using var run = ProgramRun.ToEnd("pulse", Repository.DomeProfile, "rotate-lift");
        Assert.Equal(2, run.ExitCode);
        Assert.Contains("rotate-left", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void A_motor_supply_that_is_on_stops_a_logic_only_train_before_anything_is_driven()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = Pulse(bench, "rotate-left", "--count", "1");
        Assert.True(run.ExitCode == 4, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Empty(bench.EndAndReadLines());
    }

    [Fact]
    public void The_emergency_stop_ends_a_train_that_moves_the_machine()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = ProgramRun.Start(
            "pulse", Repository.DomeProfile, "rotate-left", "--adapter", bench.Adapter, "--allow-motion", "--on", "400 ms", "--every", "700 ms");
        bench.WaitForLines(lines => lines.Contains("D22=on", StringComparison.Ordinal));
        bench.Tell("press emergency-stop");
        run.WaitForEnd();
        Assert.True(run.ExitCode == 4, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("emergency-stop", run.Output, StringComparison.Ordinal);
        Assert.Contains("WILL MOVE", run.Output, StringComparison.Ordinal);
        Assert.All(bench.EndAndReadLines(), line => Assert.NotNull(line.To));
    }

    /// <summary>One adapter, one mishap after the other, always under the name that its port keeps.</summary>
    [Fact]
    public void Each_mishap_ends_its_train_with_exit_3_and_lines_idle_and_the_next_train_starts_afresh()
    {
        var folder = TestFolders.Create().FullName;
        var port = Path.Combine(folder, "adapter");
        using var bench = EmulatedBench.Start(options: ["--port-link", port]);
        string[] train = ["pulse", Repository.DomeProfile, "rotate-left", "--adapter", $"serial:{port}", "--on", "200 ms", "--every", "600 ms"];
        foreach (var (mishap, words) in ((string, string)[])[
            ("vanish 500ms data", "unplugged"), ("reset", "restarted"), ("vanish 500ms supply", "unplugged"), ("feed ff", "A byte on the link ended the pulse"), ("mute on", "does not answer")])
        {
            using var run = ProgramRun.Start(train);
            bench.WaitForLines(AnyOn);
            bench.Tell(mishap);
            run.WaitForEnd();
            Assert.True(run.ExitCode == 3, $"{mishap}: exit {run.ExitCode}\n{run.Error}\n{run.Output}");
            Assert.Contains(words, run.Output.ReplaceLineEndings(" "), StringComparison.Ordinal);
            bench.WaitForLines(lines => !AnyOn(lines));
            EmulatedBench.WaitForPort(port);
            bench.Tell("mute off");
        }
        var before = bench.Time();
        using var last = ProgramRun.ToEnd([.. train, "--count", "2"]);
        Assert.True(last.ExitCode == 0, $"exit {last.ExitCode}\n{last.Error}\n{last.Output}");
        var lines = bench.EndAndReadLines();
        Directory.Delete(folder, recursive: true);
        Assert.Equal(2, lines.Count(line => line.From > before));
        // 200 ms as planned, late by less than 20 µs (firmware-notes/timing.md).
        Assert.All(lines, line => Assert.InRange(line.Length(long.MaxValue), 1, 200_020_000));
    }

    private static bool AnyOn(string lines) => lines.Contains("=on", StringComparison.Ordinal);

    private static ProgramRun Pulse(EmulatedBench bench, string line, params string[] options) =>
        ProgramRun.ToEnd(["pulse", Repository.DomeProfile, line, "--adapter", bench.Adapter, .. options]);
}
