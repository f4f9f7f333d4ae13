using System.Text.Json;

namespace TestRig.Tests;

/// <summary>testrig campaign, on an invented card of two lamps.</summary>
public class CampaignTests
{
    private static readonly string _lamps = Repository.TestBoard("two-lamps.yaml");

    [Fact]
    public void It_tells_its_figures_beside_the_boards_bound_and_ends_by_its_goals()
    {
        using var run = ProgramRun.ToEnd("campaign", _lamps, "--healthy", "20", "--pairs", "5", "--suggest", "--json", "record.json");
        Assert.True(run.ExitCode is 0 or 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        foreach (var words in (string[])["SIMULATED, seed 1", "(FFD)", "isolated to 1 item (FFI)", "the board permits", "0 false alarms in 20 sweeps", "at most 14 % of such sweeps", "Pairs    "])
            Assert.Contains(words, run.Output, StringComparison.Ordinal);
        // 1 − 0.05^(1/20) = 0.1391: rounded up to two digits above.
        var record = JsonDocument.Parse(File.ReadAllText(Path.Combine(run.Folder, "record.json"))).RootElement;
        Assert.Equal("testrig-campaign/1", record.GetProperty("format").GetString());
        Assert.Equal(0.1391, record.GetProperty("healthy").GetProperty("alarmsAtMost").GetDouble(), 1e-4);
        Assert.Equal(5, record.GetProperty("pairs").GetArrayLength());
        var held = record.GetProperty("goals").EnumerateArray().All(goal => goal.GetProperty("held").GetBoolean());
        Assert.Equal(held ? 0 : 1, run.ExitCode);
        Assert.Equal(!held, run.Output.Contains("GOAL FAILED", StringComparison.Ordinal));
        Assert.Equal(record.GetProperty("tried").GetInt32(), record.GetProperty("classes").EnumerateArray().Sum(each => each.GetProperty("faults").GetArrayLength()));
    }

    [Fact]
    public void Its_record_goes_to_standard_output_and_its_words_to_standard_error()
    {
        using var run = ProgramRun.ToEnd("campaign", _lamps, "--healthy", "0", "--resolution", "40us", "--json", "-");
        Assert.True(run.ExitCode is 0 or 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Equal(40_000_000, JsonDocument.Parse(run.Output).RootElement.GetProperty("resolutionPicoseconds").GetInt64());
        Assert.Contains("(FFD)", run.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--resolution", "40", "--resolution")]
    [InlineData("--pairs", "0", "1 or more")]
    [InlineData("--healthy", "-1", "0 or more")]
    public void What_it_does_not_understand_is_refused(string option, string value, string words)
    {
        using var run = ProgramRun.ToEnd("campaign", _lamps, option, value);
        Assert.Equal(2, run.ExitCode);
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
    }
}
