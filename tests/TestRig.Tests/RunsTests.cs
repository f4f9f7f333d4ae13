using System.Buffers.Binary;
using System.Text.Json;
using System.Xml.Linq;

namespace TestRig.Tests;

/// <summary>What the store keeps, and what can be done with it, from the command line alone.</summary>
public sealed class RunsTests(RunsTests.Soaked soaked) : IClassFixture<RunsTests.Soaked>
{
    private string Store => Path.Combine(soaked.Run.Folder, "runs.db");

    private string RecordFolder => Directory.GetDirectories(Path.Combine(soaked.Run.Folder, "runs")).Single();

    private string Name => Path.GetFileName(RecordFolder);

    /// <summary>A soak of the simulated dome card whose third isolator fails now and then.</summary>
    public sealed class Soaked : IDisposable
    {
        internal ProgramRun Run { get; } = ProgramRun.ToEnd("soak", Repository.DomeProfile, "--fault", "OK3=intermittent:0.1", "--cycles", "40").WaitForEnd(1);

        public void Dispose() => Run.Dispose();
    }

    [Fact]
    public void A_soak_leaves_a_report_a_record_and_the_picture_of_the_first_failure()
    {
        Assert.Contains("Record   ", soaked.Run.Output, StringComparison.Ordinal);
        var page = XDocument.Parse(File.ReadAllText(Path.Combine(RecordFolder, "report.html")));
        Assert.Contains("shutter-open failed in", page.Descendants("h2").First().Value, StringComparison.Ordinal);
        Assert.Contains("Replace OK3 (4N25).", page.Descendants("section").First().Value, StringComparison.Ordinal);
        var file = Assert.Single(Directory.GetFiles(Path.Combine(RecordFolder, "waveforms")));
        string[] files = [file, .. Directory.GetFiles(Path.Combine(RecordFolder, "drift"))];
        Assert.Equal(7, files.Length);
        Assert.Equal(
            files.Select(each => "data:image/png;base64," + Convert.ToBase64String(File.ReadAllBytes(each))).Order(), page.Descendants("img").Select(image => image.Attribute("src")!.Value).Order());
        Assert.Contains(page.Descendants("img"), image => image.Attribute("alt")!.Value.Contains("channel shutter-open, dead", StringComparison.Ordinal));
        Assert.Single(page.Descendants("section").Single(section => section.Attribute("id")?.Value == "sessions").Descendants("tr").Skip(1));
    }

    [Fact]
    public void A_soak_is_shown_from_the_store_as_it_was_told_in_the_night()
    {
        using var show = Runs("show", Name).WaitForEnd(0);
        foreach (var line in soaked.Run.Output.Split('\n').Where(line => new[] { "Failing  ", "Pattern  ", "  99 %", "  first  ", "  do     ", "Spares   ", "Proof    ", "Verdict  " }.Any(label => line.StartsWith(label, StringComparison.Ordinal))))
            Assert.Contains(line, show.Output, StringComparison.Ordinal);
        Assert.Contains("Pattern  shutter-open dead, in ", show.Output, StringComparison.Ordinal);
        Assert.Matches("Session  1: .* to .*, as it was to end", show.Output);
    }

    [Fact]
    public void What_it_found_is_the_same_record_for_other_programs_then_and_later()
    {
        using var show = Runs("show", Name, "--json", "-").WaitForEnd(0);
        using var later = JsonDocument.Parse(show.Output);
        using var then = JsonDocument.Parse(File.ReadAllText(Path.Combine(RecordFolder, "soak.json")));
        Assert.Equal("testrig-soak/1", later.RootElement.GetProperty("format").GetString());
        Assert.Equal("complete", then.RootElement.GetProperty("ending").GetProperty("outcome").GetString());
        foreach (var name in (string[])["run", "board", "adapter", "cycles", "failingCycles", "channels", "series", "patterns", "exercised_s", "diskBytes"])
            Assert.Equal(then.RootElement.GetProperty(name).GetRawText(), later.RootElement.GetProperty(name).GetRawText());
        Assert.Equal("OK3", later.RootElement.GetProperty("patterns")[0].GetProperty("suspects")[0].GetProperty("group")[0].GetString());
    }

    [Fact]
    public void A_sweep_is_shown_too_with_its_own_record()
    {
        using var sweep = ProgramRun.Start(new Dictionary<string, string> { ["TESTRIG_STORE"] = Store }, ["sweep", Repository.DomeProfile, "--fault", "OK3=dead"]).WaitForEnd(1);
        var folder = Directory.GetDirectories(Path.Combine(sweep.Folder, "runs")).Single();
        using var show = Runs("show", Path.GetFileName(folder)).WaitForEnd(0);
        Assert.Contains("Failing  shutter-open: OK3.5 should have gone low", show.Output, StringComparison.Ordinal);
        Assert.Contains("Spares   1 x 4N25 (OK3)", show.Output, StringComparison.Ordinal);
        Assert.DoesNotContain("Proof", show.Output, StringComparison.Ordinal);
        using var json = Runs("show", Path.GetFileName(folder), "--json", "-").WaitForEnd(0);
        Assert.Equal(File.ReadAllText(Path.Combine(folder, "run.json")).Trim(), json.Output.Trim());
    }

    [Fact]
    public void The_record_of_a_sweep_is_written_again_from_the_store_to_the_last_byte()
    {
        using var sweep = ProgramRun.Start(new Dictionary<string, string> { ["TESTRIG_STORE"] = Store }, ["sweep", Repository.DomeProfile, "--fault", "OK3=dead", "--repeat", "2"]).WaitForEnd(1);
        var folder = Directory.GetDirectories(Path.Combine(sweep.Folder, "runs")).Single();
        using var report = ProgramRun.ToEnd("report", Path.GetFileName(folder), "--store", Store).WaitForEnd(0);
        Assert.Contains("Verdict  SIMULATED, no board was tested: 5 of 6 channels working, 1 faulty.", report.Output, StringComparison.Ordinal);
        var again = Directory.GetDirectories(Path.Combine(report.Folder, "runs")).Single();
        string[] Files(string where) => [.. Directory.GetFiles(where, "*", SearchOption.AllDirectories).Select(file => Path.GetRelativePath(where, file)).Order()];
        Assert.Equal(Files(folder).Where(file => file != "run.log"), Files(again));
        Assert.All(Files(again), file => Assert.Equal(File.ReadAllBytes(Path.Combine(folder, file)), File.ReadAllBytes(Path.Combine(again, file))));
    }

    [Fact]
    public void The_record_of_a_soak_is_written_again_from_the_store()
    {
        using var report = ProgramRun.ToEnd("report", Name, "--store", Store, "--out", "again").WaitForEnd(0);
        var again = Path.Combine(report.Folder, "again");
        Assert.Equal(File.ReadAllText(Path.Combine(RecordFolder, "report.html")), File.ReadAllText(Path.Combine(again, "report.html")));
        using var refused = ProgramRun.ToEnd("report", Name, "--store", Store, "--profile", Repository.DomeProfile).WaitForEnd(2);
        Assert.Contains($"testrig runs judge {Name} --profile", refused.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void Runs_are_listed_by_the_condition_of_a_channel()
    {
        using var dead = Runs("list", "--condition", "dead").WaitForEnd(0);
        Assert.Contains(Name, dead.Output, StringComparison.Ordinal);
        using var slow = Runs("list", "--condition", "stuck-high").WaitForEnd(0);
        Assert.Contains("No such runs", slow.Output, StringComparison.Ordinal);
        using var unknown = Runs("list", "--condition", "tired").WaitForEnd(2);
        Assert.Contains("'stuck-high'", unknown.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void A_soak_is_drawn_as_its_night_and_its_first_failure()
    {
        using var plot = Plot("--out", "all").WaitForEnd(0);
        Assert.Equal(6, Directory.GetFiles(Path.Combine(plot.Folder, "all", "drift"), "*.png").Length);
        var failing = Assert.Single(Directory.GetFiles(Path.Combine(plot.Folder, "all", "waveforms")));
        Assert.Matches(@"cycle-\d+-shutter-open\.png$", failing);
        Assert.Contains(Path.Combine("all", "waveforms", Path.GetFileName(failing)), plot.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void One_cycle_of_one_channel_is_drawn_as_large_as_wanted_with_its_sibling_laid_over()
    {
        using var plot = Plot("--cycle", "1", "--channel", "shutter-open", "--overlay", "shutter-close", "--from", "4.9ms", "--to", "5.2ms", "--size", "1280x800", "--out", "one").WaitForEnd(0);
        var png = File.ReadAllBytes(Path.Combine(plot.Folder, "one", "waveforms", "cycle-1-shutter-open.png"));
        // The image header of PNG (third edition, 11.2.1) begins with width and height, four bytes each.
        Assert.Equal((1280, 800), (BinaryPrimitives.ReadInt32BigEndian(png.AsSpan(16)), BinaryPrimitives.ReadInt32BigEndian(png.AsSpan(20))));
    }

    [Theory]
    [InlineData("has no channel 'door'", "--channel", "door")]
    [InlineData("are not kept", "--cycle", "4000")]
    [InlineData("must lie within it", "--cycle", "1", "--from", "3s")]
    [InlineData("no run of that name", "--overlay", "door")]
    [InlineData("write width x height in pixels", "--size", "12")]
    [InlineData("needs a height of", "--cycle", "1", "--size", "1280x200")]
    public void What_cannot_be_drawn_is_told_with_a_remedy(string words, params string[] options)
    {
        using var plot = Plot(options).WaitForEnd(2);
        Assert.Contains(words, plot.Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(Path.Combine(plot.Folder, "plots")));
    }

    private ProgramRun Plot(params string[] options) => ProgramRun.ToEnd(["plot", Name, "--store", Store, .. options]);

    private ProgramRun Runs(params string[] words) => ProgramRun.ToEnd(["runs", .. words, "--store", Store]);
}
