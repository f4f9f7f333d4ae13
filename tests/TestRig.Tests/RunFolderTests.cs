using TestRig.Bench.Tests.Files;

namespace TestRig.Tests;

/// <summary>What a sweep leaves behind for other programs, from one run on a board with a dead isolator, parked on a limit switch.</summary>
public sealed class RunFolderTests(RunFolderTests.RecordedRun run) : IClassFixture<RunFolderTests.RecordedRun>
{
    /// <summary>In the profile, and with limit-left pressed not exercised.</summary>
    private static readonly string[] _exercised = ["rotate-right", "shutter-open", "shutter-close", "flap-raise", "flap-lower"];

    public sealed class RecordedRun : IDisposable
    {
        private readonly ProgramRun _run;

        public RecordedRun()
        {
            using var bench = EmulatedBench.Start(["OK3=dead"]);
            bench.Tell("press limit-left");
            _run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--json", "-", "--out", "record");
            Assert.True(_run.ExitCode == 1, $"exit {_run.ExitCode}\n{_run.Error}\n{_run.Output}");
            Record = RunRecord.Of(_run);
        }

        internal RunRecord Record { get; }

        internal string File(string relative) => Path.Combine(_run.Folder, "record", relative);

        public void Dispose() => _run.Dispose();
    }

    [Fact]
    public void Every_exercised_channel_and_no_other_has_its_capture_as_VCD()
    {
        Assert.Equal(
            _exercised.Select(name => $"{name}.vcd").Order(StringComparer.Ordinal),
            Directory.EnumerateFiles(run.File("captures")).Select(file => Path.GetFileName(file)!).Order(StringComparer.Ordinal));
        foreach (var channel in _exercised)
        {
            var dump = VcdReading.Of(File.ReadAllText(run.File($"captures/{channel}.vcd")));
            // 44 of the profile's test points have a lead to an adapter pin.
            Assert.Equal(44, dump.Variables.Count(variable => variable.Type == "wire"));
            Assert.All(dump.Variables.Where(variable => variable.Type == "wire"), wire => Assert.NotEmpty(wire.Values));
            Assert.Contains(dump.Variables, variable => variable.Type == "real" && variable.Values.Count > 0);
        }
    }

    [Fact]
    public void The_dead_isolator_shows_in_the_dump_as_in_the_verdict()
    {
        var dump = VcdReading.Of(File.ReadAllText(run.File("captures/shutter-open.vcd")));
        string[] Seen(string point) => [.. dump.Variables.Single(variable => variable.Type == "wire" && variable.Name == point).Values.Select(entry => entry.Value)];
        Assert.Contains("0", Seen("J1.6"));
        Assert.Contains("0", Seen("U4.14"));
        Assert.DoesNotContain("0", Seen("OK3.5"));
        Assert.Contains("1", Seen("OK3.5"));
    }

    [Fact]
    public void The_junit_file_counts_as_the_record_does()
    {
        var suite = System.Xml.Linq.XDocument.Load(run.File("junit.xml")).Root!.Element("testsuite")!;
        Assert.Equal(("6", "1", "1"), (suite.Attribute("tests")!.Value, suite.Attribute("failures")!.Value, suite.Attribute("skipped")!.Value));
        Assert.Equal(run.Record.Conditions.Keys, suite.Elements("testcase").Select(item => item.Attribute("name")!.Value));
        var failed = suite.Elements("testcase").Single(item => item.Element("failure") is not null);
        Assert.Equal("shutter-open", failed.Attribute("name")!.Value);
        Assert.Contains("First suspect: OK3: never conducts", failed.Element("failure")!.Attribute("message")!.Value, StringComparison.Ordinal);
        Assert.Equal("rotate-left", suite.Elements("testcase").Single(item => item.Element("skipped") is not null).Attribute("name")!.Value);
    }

    [Fact]
    public void The_report_gives_the_answer_first_and_holds_every_picture_itself()
    {
        var page = System.Xml.Linq.XDocument.Parse(File.ReadAllText(run.File("report.html"))).Root!;
        Assert.Contains("OK3", page.Descendants("section").First().Value, StringComparison.Ordinal);
        var images = page.Descendants("img").ToList();
        Assert.Equal(
            _exercised.Select(channel => $"waveforms/{channel}.png").Prepend("map.png").Select(file => "data:image/png;base64," + Convert.ToBase64String(File.ReadAllBytes(run.File(file)))),
            images.Select(image => image.Attribute("src")!.Value));
        Assert.Contains("OK3.5 FIRST WRONG", images[0].Attribute("alt")!.Value, StringComparison.Ordinal);
        Assert.Contains("OK3.5, FIRST WRONG", images[2].Attribute("alt")!.Value, StringComparison.Ordinal);
    }
}
