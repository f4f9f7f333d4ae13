namespace TestRig.Tests;

/// <summary>Captures from the store alone.</summary>
public sealed class CapturesTests(CapturesTests.Swept swept) : IClassFixture<CapturesTests.Swept>
{
    /// <summary>A sweep of the simulated tide gauge, each channel three times.</summary>
    public sealed class Swept : IDisposable
    {
        internal ProgramRun Run { get; } = ProgramRun.ToEnd("sweep", Repository.TideGaugeProfile, "--fault", "K4=bouncing", "--repeat", "3").WaitForEnd(1);

        public void Dispose() => Run.Dispose();
    }

    private string RecordFolder => Directory.GetDirectories(Path.Combine(swept.Run.Folder, "runs")).Single();

    private ProgramRun FromStore(params string[] arguments) =>
        ProgramRun.Start(new Dictionary<string, string> { ["TESTRIG_STORE"] = Path.Combine(swept.Run.Folder, "runs.db") }, arguments);

    private string Name => Path.GetFileName(RecordFolder);

    [Fact]
    public void Dumps_are_those_that_the_sweep_wrote_to_the_last_byte()
    {
        using var captures = FromStore("runs", "captures", Name).WaitForEnd(0);
        var written = Directory.GetFiles(Path.Combine(captures.Folder, "exports", Name, "captures")).ToDictionary(file => Path.GetFileName(file));
        var before = Directory.GetFiles(Path.Combine(RecordFolder, "captures"));
        Assert.Equal(8, before.Length);
        Assert.Equal(before.Select(Path.GetFileName).Order(), written.Keys.Order());
        Assert.All(before, file => Assert.Equal(File.ReadAllBytes(file), File.ReadAllBytes(written[Path.GetFileName(file)])));
    }

    [Fact]
    public void One_channel_of_one_round_as_a_table()
    {
        using var captures = FromStore("runs", "captures", Name, "--channel", "select-telephone", "--cycle", "2", "--form", "csv", "--out", "table").WaitForEnd(0);
        var file = Assert.Single(Directory.GetFiles(Path.Combine(captures.Folder, "table", "captures")));
        Assert.Equal("cycle-2-select-telephone.csv", Path.GetFileName(file));
        var rows = File.ReadAllLines(file).Select(row => row.Split(',')).ToList();
        Assert.Equal("time [us]", rows[0][0]);
        // The relay's contact opens again and again: more than the 10 bounces that the profile permits, each a change to either side.
        var contact = Array.IndexOf(rows[0], "K4.NO");
        var levels = rows.Skip(1).Select(row => row[contact]).Where(level => level != "x").ToList();
        Assert.True(levels.Zip(levels.Skip(1)).Count(pair => pair.First != pair.Second) > 10);
    }

    [Fact]
    public void What_repeats_has_pictures_of_its_drift_and_its_bounces()
    {
        using var plot = FromStore("plot", Name, "--out", "pictures").WaitForEnd(0);
        Assert.Equal(8, Directory.GetFiles(Path.Combine(plot.Folder, "pictures", "drift")).Length);
        Assert.Contains("select-telephone-k4.no.png", Directory.GetFiles(Path.Combine(plot.Folder, "pictures", "bounce")).Select(Path.GetFileName));
    }

    [Theory]
    [InlineData("--form", "xls", "Must be one of", "'vcd'", "'parquet'")]
    [InlineData("--channel", "select-telefone", "no channel 'select-telefone'", "select-telephone")]
    [InlineData("--cycle", "9", "cycle 9 ", "not kept", "cycle 3, 2, 1 ")]
    public void What_is_not_there_is_told_with_what_is(string option, string value, params string[] words)
    {
        using var captures = FromStore("runs", "captures", Name, option, value).WaitForEnd(2);
        Assert.All(words, word => Assert.Contains(word, captures.Error, StringComparison.Ordinal));
        Assert.False(Directory.Exists(Path.Combine(captures.Folder, "exports")));
    }
}
