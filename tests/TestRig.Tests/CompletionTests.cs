using System.Diagnostics;

namespace TestRig.Tests;

/// <summary>The program says what can come next on its command line, and bash asks it.</summary>
public class CompletionTests
{
    [Fact]
    public void The_suggest_directive_lists_the_commands()
    {
        using var run = ProgramRun.ToEnd("[suggest:8]", "testrig ");
        Assert.Equal(0, run.ExitCode);
        Assert.Superset(new HashSet<string> { "sweep", "profile", "adapters", "pulse", "probe", "inject", "wiring", "campaign" }, Lines(run.Output));
    }

    [Fact]
    public void The_suggest_directive_lists_the_options_of_a_command()
    {
        using var run = ProgramRun.ToEnd("[suggest:16]", "testrig sweep --");
        Assert.Superset(new HashSet<string> { "--adapter", "--allow-motion", "--json", "--out" }, Lines(run.Output));
    }

    [Theory]
    [InlineData("testrig pu", "pulse")]
    [InlineData("testrig profile sc", "schema")]
    [InlineData("testrig sweep --all", "--allow-motion")]
    [InlineData("testrig campaign --su", "--suggest")]
    [InlineData("testrig inject --pi", "--pin")]
    public void Bash_completes_what_was_begun_and_nothing_else(string line, string completed)
    {
        var words = line.Split(' ');
        var script = $$"""
            testrig() { dotnet "$PROGRAM" "$@"; }
            source "$SCRIPT"
            COMP_LINE="{{line}}" COMP_POINT={{line.Length}} COMP_CWORD={{words.Length - 1}} COMP_WORDS=({{line}})
            _testrig
            echo "${COMPREPLY[0]} of ${#COMPREPLY[@]}"
            complete -p testrig
            """;
        var start = new ProcessStartInfo("bash", ["-c", script]) { RedirectStandardOutput = true, RedirectStandardError = true };
        start.Environment["PROGRAM"] = Repository.Program;
        start.Environment["SCRIPT"] = Path.Combine(Repository.Root, "tools", "completion.bash");
        using var bash = Process.Start(start)!;
        var output = bash.StandardOutput.ReadToEnd();
        var error = bash.StandardError.ReadToEnd();
        bash.WaitForExit();
        Assert.Empty(error);
        Assert.Contains($"{completed} of 1", output, StringComparison.Ordinal);
        Assert.Contains("-F _testrig testrig", output, StringComparison.Ordinal);
    }

    private static HashSet<string> Lines(string output) => [.. output.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(line => line.Trim())];
}
