using System.Text.RegularExpressions;

namespace TestRig.Tests;

/// <summary>What README and DEVELOPERS name is there, and what they show runs.</summary>
public partial class DocumentationTests
{
    /// <summary>Made by the builds, so not there in a fresh clone.</summary>
    private static readonly string[] _built = ["/build/", "/bin/"];

    private static readonly string[] _topFolders = ["src/", "tests/", "tools/", "profiles/", "firmware-notes/"];

    [Theory]
    [InlineData("README.md")]
    [InlineData("DEVELOPERS.md")]
    public void Every_file_that_is_named_exists(string document)
    {
        var text = Read(document);
        var folder = Path.GetDirectoryName(document)!;
        var linked = Link().Matches(text).Select(match => match.Groups[1].Value).Where(target => !target.Contains("://", StringComparison.Ordinal))
            .Select(target => Path.Combine(folder, target.Split('#')[0]));
        var named = Word().Matches(text).Select(match => match.Value.TrimEnd('.', ','))
            .Where(word => _topFolders.Any(top => word.StartsWith(top, StringComparison.Ordinal)) && !_built.Any(word.Contains));
        Assert.NotEmpty(named);
        var missing = linked.Concat(named).Where(path => !Path.Exists(Path.Combine(Repository.Root, path)));
        Assert.Empty(missing);
    }

    [Theory]
    [InlineData("README.md")]
    [InlineData("DEVELOPERS.md")]
    public void Every_make_target_that_is_named_exists(string document)
    {
        var makes = Make().Matches(Read(document)).Select(match => (Folder: match.Groups[1].Value, Target: match.Groups[2].Value)).ToList();
        Assert.NotEmpty(makes);
        var missing = makes.Where(make => make.Target.Length > 0)
            .Where(make => !Regex.IsMatch(Read(Path.Combine(make.Folder, "Makefile")), $@"(?m)^[\w \-]*\b{make.Target}\b[\w \-]*:"));
        Assert.Empty(missing);
    }

    [Fact]
    public void Every_testrig_line_of_the_readme_runs()
    {
        var lines = ProgramLine().Matches(Read("README.md")).Select(match => match.Groups[1].Value).ToList();
        foreach (var command in (string[])["profile check", "profile explain", "profile schema", "adapters", "sweep", "pulse", "learn", "wiring", "probe", "inject", "trial", "campaign", "soak", "judge", "runs"])
            Assert.Contains(lines, line => line.StartsWith(command, StringComparison.Ordinal));
        foreach (var line in lines)
        {
            // A campaign over a large board takes minutes: here it is over a small one, and whether its goals hold is not the question.
            var campaign = line.StartsWith("campaign ", StringComparison.Ordinal);
            var words = line.Split(' ').Select(word => !word.StartsWith("profiles/", StringComparison.Ordinal) ? word : campaign ? Repository.TestBoard("two-lamps.yaml") : Path.Combine(Repository.Root, word)).ToList();
            // A night that fails once in a while need not do so in its first minutes.
            var soak = words[0] == "soak";
            words = [.. words.Select(word => word == "8h" ? "20s" : word)];
            // Where an adapter would be needed, its absence shows that the line was understood: 2 would be bad usage.
            var drives = words[0] is "sweep" or "soak" or "pulse" or "learn" && !words.Contains("--fault") && !words.Contains("--adapter");
            using var run = ProgramRun.ToEnd([.. words, .. (string[])(drives ? ["--adapter", "serial:/dev/no-such-port"] : [])]);
            // Listing adapters ends with 0 or 3 by what is attached to this machine.
            // What is behind the net of the injections may work though the fault is there.
            int[] expected = drives ? [3] : words[0] == "adapters" ? [0, 3] : words[0] == "inject" || soak ? [0, 1] : words[0] == "judge" || words.Contains("--fault") || words.Contains("--part") ? [1] : campaign ? [0, 1] : [0];
            Assert.True(expected.Contains(run.ExitCode), $"testrig {line}: exit {run.ExitCode}\n{run.Error}");
        }
    }

    [Theory]
    [InlineData("sweep")]
    [InlineData("soak")]
    [InlineData("plot")]
    [InlineData("judge")]
    [InlineData("trial")]
    public void The_options_of_a_command_in_the_readme_are_those_of_the_program(string command)
    {
        using var help = ProgramRun.ToEnd(command, "--help");
        var firstCells = TableOf($"option of `{command}`").Split('\n').Select(row => row.Split('|')[1]);
        Assert.Equal(
            HelpOption().Matches(help.Output).Select(match => match.Groups[1].Value).Where(option => option != "--help").Order(),
            Option().Matches(string.Join(' ', firstCells)).Select(match => match.Value).Distinct().Order());
    }

    /// <summary>tests/packaging/quick-start runs it; here is only that it stays the first.</summary>
    [Fact]
    public void The_first_command_of_the_readme_needs_the_sdk_alone()
    {
        var first = Block().Match(Read("README.md")).Groups[1].Value;
        Assert.StartsWith("dotnet run --project src/TestRig -c Release -- sweep profiles/", first, StringComparison.Ordinal);
        Assert.EndsWith(" --open", first, StringComparison.Ordinal);
    }

    [Fact]
    public void The_version_in_the_readme_is_the_programs()
    {
        using var run = ProgramRun.ToEnd("--version");
        Assert.Contains($"--version {run.Output.Split('+')[0].Trim()} --source release/testrig-{run.Output.Split('+')[0].Trim()}/tool", Read("README.md"), StringComparison.Ordinal);
    }

    /// <summary>The lines of firmware-notes/flashing.md, too, are understood.</summary>
    [Fact]
    public void Every_testrig_line_of_the_flashing_notes_is_understood()
    {
        var lines = ProgramLine().Matches(Read("firmware-notes/flashing.md")).Select(match => match.Groups[1].Value).ToList();
        Assert.Equal(["adapters", "adapters --self-test D22=A0"], lines);
        Assert.All(lines, line =>
        {
            using var run = ProgramRun.ToEnd([.. line.Split(' '), "--adapter", "serial:/dev/no-such-port"]);
            Assert.True(run.ExitCode == 3, $"testrig {line}: exit {run.ExitCode}\n{run.Error}");
        });
    }

    /// <summary>README's table with that heading, to the blank line that ends it.</summary>
    private static string TableOf(string heading)
    {
        var readme = Read("README.md");
        var start = readme.IndexOf($"| {heading} |", StringComparison.Ordinal);
        Assert.True(start >= 0, $"README has no table '{heading}'");
        return readme[start..readme.IndexOf("\n\n", start, StringComparison.Ordinal)];
    }

    private static string Read(string document) => File.ReadAllText(Path.Combine(Repository.Root, document));

    [GeneratedRegex(@"^```\n(.+)\n```$", RegexOptions.Multiline)]
    private static partial Regex Block();

    [GeneratedRegex(@"\]\(([^)\s]+)\)")]
    private static partial Regex Link();

    [GeneratedRegex(@"(?<![\w/.-])[\w.-]+/[\w./-]+")]
    private static partial Regex Word();

    [GeneratedRegex(@"make -C (\S+?)(?:`|\s+([a-z][\w-]*)(?=`|  |$)|\s{2,}|$)", RegexOptions.Multiline)]
    private static partial Regex Make();

    [GeneratedRegex(@"^testrig (.+?)(?:  .*)?$", RegexOptions.Multiline)]
    private static partial Regex ProgramLine();

    [GeneratedRegex(@"--[a-z][a-z-]+")]
    private static partial Regex Option();

    /// <summary>Where it is explained, not where another's explanation names it.</summary>
    [GeneratedRegex(@"^  (?:-\S+, )*(--[a-z][a-z-]+)", RegexOptions.Multiline)]
    private static partial Regex HelpOption();
}
