using System.Xml.Linq;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;

namespace TestRig.Bench.Tests.Reporting;

public class RunJunitTests
{
    [Fact]
    public void It_has_one_testcase_a_channel_and_counts_that_agree_with_them()
    {
        var suites = Read(RunJunit.Write(SomeSweep.Result(), "profiles/dome & drive.yaml"));
        var suite = suites.Element("testsuite")!;
        Assert.Equal(["shutter-close", "shutter-open", "flap-raise", "rotate-left"], suite.Elements("testcase").Select(item => item.Attribute("name")!.Value));
        foreach (var counted in (XElement[])[suites, suite])
        {
            Assert.Equal("4", counted.Attribute("tests")!.Value);
            Assert.Equal(suite.Elements("testcase").Count(item => item.Element("failure") is not null).ToString(), counted.Attribute("failures")!.Value);
            Assert.Equal("2", counted.Attribute("failures")!.Value);
            Assert.Equal("1", counted.Attribute("skipped")!.Value);
            Assert.Equal("0", counted.Attribute("errors")!.Value);
            Assert.Equal("0.180", counted.Attribute("time")!.Value); // three captures of 60 ms each
        }
        Assert.Equal("2026-11-25T13:45:06", suite.Attribute("timestamp")!.Value);
        Assert.Contains(suite.Descendants("property"), property => property.Attribute("value")!.Value == "profiles/dome & drive.yaml");
    }

    [Fact]
    public void A_failure_names_condition_summary_and_first_suspect()
    {
        var failure = Case("shutter-open").Element("failure")!;
        Assert.Equal("dead", failure.Attribute("type")!.Value);
        Assert.Contains("OK3.5 stays high although U4.14 falls", failure.Attribute("message")!.Value, StringComparison.Ordinal);
        Assert.Contains("First suspect: OK3: never conducts (97 %)", failure.Attribute("message")!.Value, StringComparison.Ordinal);
        Assert.Contains("OK3.5 falls: Absent", failure.Value, StringComparison.Ordinal);
    }

    [Fact]
    public void A_failure_that_nothing_explains_says_so() =>
        Assert.Contains("No single fault", Case("flap-raise").Element("failure")!.Attribute("message")!.Value, StringComparison.Ordinal);

    [Fact]
    public void A_channel_that_was_not_tested_is_skipped_with_its_reason()
    {
        var item = Case("rotate-left");
        Assert.Contains("limit-left is low", item.Element("skipped")!.Attribute("message")!.Value, StringComparison.Ordinal);
        Assert.Equal("0.000", item.Attribute("time")!.Value);
        Assert.Empty(Case("shutter-close").Elements());
    }

    [Fact]
    public void Why_a_run_ended_early_is_in_system_err()
    {
        var suites = Read(RunJunit.Write(SomeSweep.Result(new(SweepOutcome.StoppedForSafety, "emergency-stop is <low>")), "p.yaml"));
        Assert.Equal("emergency-stop is <low>", suites.Element("testsuite")!.Element("system-err")!.Value);
        Assert.Null(Read(RunJunit.Write(SomeSweep.Result(), "p.yaml")).Element("testsuite")!.Element("system-err"));
    }

    /// <summary>What was skipped counts as good in most programs that show such files.</summary>
    [Theory]
    [InlineData(SweepOutcome.StoppedForSafety, "stopped for safety")]
    [InlineData(SweepOutcome.AdapterFailed, "adapter failed")]
    [InlineData(SweepOutcome.NotReady, "not ready")]
    [InlineData(SweepOutcome.Cancelled, "cancelled")]
    public void A_run_that_ended_early_holds_an_error_and_counts_it(SweepOutcome outcome, string type)
    {
        var suites = Read(RunJunit.Write(SomeSweep.Result(new(outcome, "emergency-stop is <low>")), "p.yaml"));
        var error = suites.Descendants("error").Single();
        Assert.Equal(type, error.Attribute("type")!.Value);
        Assert.Equal("emergency-stop is <low>", error.Attribute("message")!.Value);
        Assert.Equal("testcase", error.Parent!.Name.LocalName);
        foreach (var counted in (XElement[])[suites, suites.Element("testsuite")!])
        {
            Assert.Equal("1", counted.Attribute("errors")!.Value);
            Assert.Equal("5", counted.Attribute("tests")!.Value);
            Assert.Equal(5, counted.Descendants("testcase").Count());
        }
    }

    [Fact]
    public void A_simulated_run_says_so_in_the_suite_and_in_every_testcase()
    {
        var real = SomeSweep.Result();
        var suite = Read(RunJunit.Write(real with { Adapter = real.Adapter with { Kind = "simulated" } }, "p.yaml")).Element("testsuite")!;
        Assert.StartsWith("SIMULATED", suite.Attribute("name")!.Value, StringComparison.Ordinal);
        Assert.All(suite.Elements("testcase"), item => Assert.StartsWith("SIMULATED", item.Attribute("classname")!.Value, StringComparison.Ordinal));
        Assert.DoesNotContain("SIMULATED", RunJunit.Write(real, "p.yaml"), StringComparison.Ordinal);
    }

    [Fact]
    public void A_name_with_characters_that_XML_forbids_leaves_it_well_formed() =>
        Assert.Equal(SomeSweep.BoardName.Replace('\u0001', '\uFFFD'), Case("shutter-open").Attribute("classname")!.Value);

    private static XElement Case(string channel) =>
        Read(RunJunit.Write(SomeSweep.Result(), "p.yaml")).Descendants("testcase").Single(item => item.Attribute("name")!.Value == channel);

    private static XElement Read(string text) => XDocument.Parse(text).Root!;
}
