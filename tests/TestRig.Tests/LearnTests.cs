using System.Text.Json;
using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>testrig learn, as a whole: what is shown, what is written and what is not.</summary>
public class LearnTests
{
    private static readonly string[] _sibling = ["learn", Repository.DomeProfile, "--adapter", "simulated", "--channel", "shutter-close", "--for", "shutter-open", "--repeat", "5"];

    [Fact]
    public void Without_write_the_change_is_shown_and_no_file_is_touched()
    {
        var before = File.ReadAllText(Repository.DomeProfile);
        using var run = ProgramRun.ToEnd(_sibling);
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains($"--- {Repository.DomeProfile}\n+++ {Repository.DomeProfile} (proposed)\n@@ -", run.Output, StringComparison.Ordinal);
        Assert.Contains("+      OK3.5:", run.Output, StringComparison.Ordinal);
        Assert.Contains("learned from channel shutter-close on a SIMULATED board: ", run.Output, StringComparison.Ordinal);
        Assert.Contains("not resolved", run.Output, StringComparison.Ordinal);
        Assert.Contains("not how parts of the type differ", run.Output, StringComparison.Ordinal);
        Assert.Contains("nothing was written", run.Output, StringComparison.Ordinal);
        Assert.Equal(before, File.ReadAllText(Repository.DomeProfile));
        Assert.Empty(Directory.GetFileSystemEntries(run.Folder));
    }

    [Fact]
    public void Write_makes_a_profile_that_is_checked_and_explained_and_never_replaces_one_unasked()
    {
        var folder = TestFolders.Create().FullName;
        var written = Path.Combine(folder, "learned.yaml");
        using var run = ProgramRun.ToEnd([.. _sibling, "--write", written]);
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        using var check = ProgramRun.ToEnd("profile", "check", written);
        Assert.True(check.ExitCode == 0, check.Error);
        using var explained = ProgramRun.ToEnd("profile", "explain", written);
        Assert.Contains("OK3.5 rises: override: learned from channel shutter-close", explained.Output, StringComparison.Ordinal);

        var content = File.ReadAllText(written);
        using var again = ProgramRun.ToEnd([.. _sibling, "--write", written, "--seed", "3"]);
        Assert.Equal(2, again.ExitCode);
        Assert.Contains("is there already", again.Error, StringComparison.Ordinal);
        Assert.Equal(content, File.ReadAllText(written));
        using var forced = ProgramRun.ToEnd([.. _sibling, "--write", written, "--force", "--seed", "3"]);
        Assert.Equal(0, forced.ExitCode);
        Assert.NotEqual(content, File.ReadAllText(written));
        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public void A_faulty_board_teaches_nothing()
    {
        using var run = ProgramRun.ToEnd("learn", Repository.DomeProfile, "--fault", "OK3=slow:3x", "--repeat", "5", "--write", "never.yaml");
        Assert.Equal(1, run.ExitCode);
        Assert.Contains("REFUSED  shutter-open: It is not a good one", run.Output, StringComparison.Ordinal);
        Assert.Empty(Directory.GetFileSystemEntries(run.Folder));
    }

    [Theory]
    [InlineData("--for shutter-open", "add --channel")]
    [InlineData("--channel nowhere", "has no such channel. Its channels: rotate-left,")]
    [InlineData("--coverage 1", "write a share above 0 and below 1")]
    [InlineData("--repeat 1", "write a whole number, 2 or more")]
    public void What_cannot_be_learned_is_said_before_anything_is_driven(string options, string problem)
    {
        using var run = ProgramRun.ToEnd(["learn", Repository.DomeProfile, "--adapter", "simulated", .. options.Split(' ')]);
        Assert.Equal(2, run.ExitCode);
        Assert.Contains(problem, run.Error, StringComparison.Ordinal);
    }

    private static readonly string[] _draft = ["learn", Repository.DomeProfile, "--draft", Path.Combine(Repository.Root, "profiles", "points", "dome-drive.yaml"), "--adapter", "simulated"];

    [Fact]
    public void A_draft_is_shown_with_its_questions_and_written_where_it_is_told_to()
    {
        using var run = ProgramRun.ToEnd([.. _draft, "--motor-is-off", "--write", "draft.yaml"]);
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("line     shutter-open: shutter-open > U3.14 ? U4.14 > OK3.5 > Q3.C", run.Output, StringComparison.Ordinal);
        Assert.Contains("ask      'shutter-open' reaches U3.14 and U4.14 so close together", run.Output, StringComparison.Ordinal);
        Assert.Contains("which grounds the board isolates", run.Output, StringComparison.Ordinal);
        using var check = ProgramRun.ToEnd("profile", "check", Path.Combine(run.Folder, "draft.yaml"));
        Assert.True(check.ExitCode == 0, check.Error);
        Assert.Contains("6 channels", check.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void A_draft_drives_nothing_until_the_operator_says_that_the_motors_are_off()
    {
        using var run = ProgramRun.ToEnd(_draft);
        Assert.Equal(4, run.ExitCode);
        Assert.Contains("say so with --motor-is-off", run.Output, StringComparison.Ordinal);
        Assert.DoesNotContain("pulsed   ", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void A_draft_of_a_dead_channel_says_that_nothing_answers_its_line()
    {
        using var run = ProgramRun.ToEnd([.. _draft, "--motor-is-off", "--fault", "U3:14=stuck-high"]);
        Assert.Equal(0, run.ExitCode);
        Assert.Contains("ask      Nothing answers line 'shutter-open'.", run.Output, StringComparison.Ordinal);
    }

    /// <summary>The same limits stand in the difference, which is meant for people.</summary>
    [Fact]
    public void As_json_a_proposal_has_each_window_with_the_one_it_replaces_and_the_difference()
    {
        using var run = ProgramRun.ToEnd([.. _sibling, "--json", "-"]);
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("window   shutter-open: OK3.5", run.Error, StringComparison.Ordinal);
        using var document = JsonDocument.Parse(run.Output);
        var root = document.RootElement;
        Assert.Equal("testrig-learn/1", root.GetProperty("format").GetString());
        Assert.Equal((5, 0.99, 0.95), (root.GetProperty("repeats").GetInt32(), root.GetProperty("coverage").GetDouble(), root.GetProperty("confidence").GetDouble()));
        var channel = root.GetProperty("channels")[0];
        Assert.Equal(("shutter-open", "shutter-close"), (channel.GetProperty("name").GetString(), channel.GetProperty("from").GetString()));
        var window = channel.GetProperty("windows").EnumerateArray().First(each => each.GetProperty("testPoint").GetString() == "OK3.5" && each.GetProperty("expected").GetString() == "rises");
        Assert.InRange(window.GetProperty("earliest_ps").GetInt64(), 0, window.GetProperty("latest_ps").GetInt64() - 1);
        Assert.True(window.GetProperty("presentLatest_ps").GetInt64() > window.GetProperty("presentEarliest_ps").GetInt64());
        Assert.Equal(5, window.GetProperty("limits").GetProperty("number").GetInt32());
        Assert.NotEmpty(channel.GetProperty("kept").EnumerateArray());
        Assert.Contains("+      OK3.5:", root.GetProperty("difference").GetString(), StringComparison.Ordinal);
        Assert.False(root.TryGetProperty("written", out _));
    }

    [Fact]
    public void As_json_a_refusal_says_why_and_proposes_nothing()
    {
        using var run = ProgramRun.ToEnd("learn", Repository.DomeProfile, "--fault", "OK3=slow:3x", "--repeat", "2", "--json", "learned.json", "--write", "never.yaml");
        Assert.Equal(1, run.ExitCode);
        using var document = JsonDocument.Parse(File.ReadAllText(Path.Combine(run.Folder, "learned.json")));
        var refused = document.RootElement.GetProperty("channels").EnumerateArray().Where(channel => channel.TryGetProperty("refusal", out _)).Select(channel => channel.GetProperty("name").GetString());
        Assert.Equal(["shutter-open"], refused);
        Assert.False(document.RootElement.TryGetProperty("difference", out _));
        Assert.False(document.RootElement.TryGetProperty("written", out _));
    }

    [Fact]
    public void As_json_a_draft_has_its_chains_its_questions_and_the_profile()
    {
        using var run = ProgramRun.ToEnd([.. _draft, "--motor-is-off", "--json", "-"]);
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        using var document = JsonDocument.Parse(run.Output);
        var root = document.RootElement;
        Assert.Equal(("testrig-draft/1", "complete"), (root.GetProperty("format").GetString(), root.GetProperty("ending").GetProperty("outcome").GetString()));
        var line = root.GetProperty("lines").EnumerateArray().First(each => each.GetProperty("name").GetString() == "shutter-open");
        // Two inverting buffers, an isolator (low in, low out), a PNP driver (low in, high out), by the parts of the card.
        Assert.Equal(
            ["U3.14 False", "U4.14 True", "OK3.5 True", "Q3.C False"],
            line.GetProperty("answers").EnumerateArray().Select(answer => $"{answer.GetProperty("testPoint").GetString()} {answer.GetProperty("follows").GetBoolean()}"));
        Assert.Equal(["U3.14", "U4.14"], line.GetProperty("untold")[0].EnumerateArray().Select(point => point.GetString()));
        Assert.Contains(root.GetProperty("questions").EnumerateArray(), question => question.GetProperty("topic").GetString() == "order" && question.GetProperty("subjects")[0].GetString() == "shutter-open");
        Assert.True(root.GetProperty("isProfile").GetBoolean());
        Assert.StartsWith("#", root.GetProperty("draft").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public void As_json_a_draft_that_was_stopped_has_its_ending_and_no_lines()
    {
        using var run = ProgramRun.ToEnd([.. _draft, "--json", "-"]);
        Assert.Equal(4, run.ExitCode);
        using var document = JsonDocument.Parse(run.Output);
        Assert.Equal("stopped-for-safety", document.RootElement.GetProperty("ending").GetProperty("outcome").GetString());
        Assert.False(document.RootElement.TryGetProperty("lines", out _));
        Assert.False(document.RootElement.TryGetProperty("draft", out _));
    }

    [Theory]
    [InlineData("--allow-motion", "--allow-motion is not for a draft: nobody knows yet what would move")]
    [InlineData("--channel rotate-left", "--channel is not for a draft")]
    public void What_a_draft_cannot_take_is_said(string options, string problem)
    {
        using var run = ProgramRun.ToEnd([.. _draft, .. options.Split(' ')]);
        Assert.Equal(2, run.ExitCode);
        Assert.Contains(problem, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_a_profile_and_without_a_draft_there_is_nothing_to_learn()
    {
        using var run = ProgramRun.ToEnd("learn", "--adapter", "simulated");
        Assert.Equal(2, run.ExitCode);
        Assert.Contains("name the board's PROFILE", run.Error, StringComparison.Ordinal);
    }
}
