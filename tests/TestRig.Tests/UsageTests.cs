using System.Diagnostics;
using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>What was mistyped is answered with exit code 2 and words that help, and nothing is driven.</summary>
public class UsageTests
{
    [Theory]
    [InlineData("'frobnicate'", "frobnicate")]
    [InlineData("'--frob'", "sweep", "board.yaml", "--frob")]
    [InlineData("serial:PORT", "sweep", "board.yaml", "--adapter", "usb:1")]
    [InlineData("PROFILE", "sweep")]
    [InlineData("board.yaml", "sweep", "board.yaml")]
    [InlineData("/dev/null:1:1: the file is empty", "profile", "check", "/dev/null")]
    [InlineData("expects a single argument but 2", "sweep", "board.yaml", "--adapter", "simulated", "--adapter", "simulated")]
    [InlineData("--seed 'x' is not understood; write a whole number.", "sweep", "board.yaml", "--adapter", "simulated", "--seed", "x")]
    [InlineData("--count 'x' is not understood; write a whole number, 1 or more.", "pulse", "board.yaml", "lamp", "--count", "x")]
    [InlineData("--count '0' is not understood; write a whole number, 1 or more.", "pulse", "board.yaml", "lamp", "--count", "0")]
    [InlineData("--repeats '1.5' is not understood", "adapters", "--repeats", "1.5")]
    [InlineData("--divider: '100 kohm' is no divider", "probe", "board.yaml", "--divider", "100k")]
    [InlineData("beside it there can be only --out and --json", "wiring", "board.yaml", "--inputs", "3", "--motor-is-off")]
    [InlineData("is a folder", "profile", "explain", "/")]
    public void A_mistake_exits_2_and_is_named(string words, params string[] arguments)
    {
        using var run = ProgramRun.ToEnd(arguments);
        Assert.Equal(2, run.ExitCode);
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
        Assert.Empty(run.Output);
        Assert.DoesNotContain("Required command", run.Error, StringComparison.Ordinal);
    }

    /// <summary>/dev/full takes nothing, as a full disk.</summary>
    [Theory]
    [InlineData("--help")]
    [InlineData("profile schema")]
    [InlineData("sweep \"$2\" --adapter simulated")]
    public void Standard_output_into_a_full_disk_exits_5_in_words(string arguments)
    {
        var folder = TestFolders.Create();
        try
        {
            var start = new ProcessStartInfo("sh") { RedirectStandardError = true, WorkingDirectory = folder.FullName };
            foreach (var argument in (string[])["-c", $"dotnet \"$1\" {arguments} > /dev/full", "sh", Repository.Program, Repository.DomeProfile])
                start.ArgumentList.Add(argument);
            using var process = Process.Start(start)!;
            var error = process.StandardError.ReadToEnd();
            process.WaitForExit();
            Assert.Equal(5, process.ExitCode);
            Assert.StartsWith("testrig: Standard output cannot be written: ", error, StringComparison.Ordinal);
            Assert.DoesNotContain("   at ", error, StringComparison.Ordinal);
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    [Fact]
    public void The_profiles_cautions_on_what_moves_are_told_with_motion_only()
    {
        using var still = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", "serial:/dev/no-such-port");
        using var moving = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", "serial:/dev/no-such-port", "--allow-motion");
        Assert.DoesNotContain("The dome turns", still.Output, StringComparison.Ordinal);
        Assert.Contains("The dome turns", moving.Output, StringComparison.Ordinal);
    }
}
