using System.Collections.Immutable;
using System.Xml.Linq;
using TestRig.Bench.Exercising;
using TestRig.Bench.Plotting;
using TestRig.Bench.Reporting;
using TestRig.Bench.Tests.Plotting;

namespace TestRig.Bench.Tests.Reporting;

public class RunReportTests
{
    /// <summary>Elements without content in HTML (HTML living standard 13.1.2, value from memory); any other must have its end tag.</summary>
    private static readonly string[] _void = ["meta", "img", "br", "hr", "link", "input"];

    private static readonly byte[] _png = [0x89, 0x50, 0x4E, 0x47];

    [Fact]
    public void The_answer_comes_first_with_every_condition_the_suspects_and_what_to_do()
    {
        var answer = Page().Descendants("section").First();
        Assert.Equal("answer", answer.Attribute("id")!.Value);
        Assert.Equal(
            ["shutter-close✓ working", "shutter-open✗ dead", "flap-raise✗ slow", "rotate-left– not tested"],
            answer.Element("ul")!.Elements("li").Select(item => item.Value));
        Assert.Equal(["BeliefSuspectHow it would have failed", "97 %OK3never conducts", "3 %Q3 or lead at Q3.Cits input holds OK3.5"], answer.Descendants("tr").Select(row => row.Value));
        Assert.Contains("What to do. Replace OK3 (4N25).", answer.Value, StringComparison.Ordinal);
        Assert.Contains("Next measurement. Clip a lead to U4.14 & sweep again.", answer.Value, StringComparison.Ordinal);
        Assert.Contains("flap-raise: no single fault", answer.Value, StringComparison.Ordinal);
        Assert.Contains("SparesNow: 1 x 4N25 (OK3)", answer.Value, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_a_part_to_replace_there_is_no_list_of_spares()
    {
        var lead = SomeSweep.Result() with { Diagnosis = new([new(["shutter-open"], [new(["lead to J1.6"], Core.Diagnosing.FaultMode.LeadOpen, "open", 0.9, [])], "Check it.")], null, []) };
        var page = XDocument.Parse(RunReport.Write(lead, "p.yaml", Pictures()));
        Assert.DoesNotContain(page.Descendants("div"), div => div.Attribute("class")?.Value == "spares");
    }

    [Fact]
    public void Each_channel_has_a_section_that_the_answer_links_to_with_picture_and_findings()
    {
        var page = Page();
        var articles = page.Descendants("article").ToList();
        Assert.Equal(page.Descendants("a").Select(link => link.Attribute("href")!.Value), articles.Select(article => "#" + article.Attribute("id")!.Value));
        Assert.Equal(4, articles.Count);
        var dead = articles[1];
        Assert.Equal("data:image/png;base64," + Convert.ToBase64String(_png), dead.Descendants("img").Single().Attribute("src")!.Value);
        var findings = SomeSweep.Result().Channels[1].Findings;
        Assert.Equal(findings.Length + 1, dead.Descendants("tr").Count());
        var wrong = dead.Descendants("tr").Where(row => row.Attribute("class")?.Value == "wrong").ToList();
        Assert.Equal(findings.Count(finding => finding.Verdict == Core.Judging.Verdict.Absent), wrong.Count);
        Assert.All(wrong, row => Assert.Contains("✗ absent", row.Value, StringComparison.Ordinal));
        // Not exercised: the reason stands there, and no picture.
        Assert.Empty(articles[3].Descendants("img"));
        Assert.Contains("which forbids rotate-left", articles[3].Value, StringComparison.Ordinal);
    }

    /// <summary>In the fixture both looks are 1.3125 µs wide: a triangle, 95 % of which lie within 1.3125 µs × (1 − √0.05) = 1.02 µs.</summary>
    [Fact]
    public void A_delay_stands_with_its_uncertainty_and_one_that_may_as_well_be_nothing_as_a_bound()
    {
        var delays = Page().Descendants("article").First().Descendants("tr").Select(row => row.Elements().ElementAt(3).Value).ToList();
        Assert.Contains("at most 1.03 µs after J1.6", delays); // 9 ns + 1.02 µs
        Assert.Contains("5 µs ± 1.02 µs after U4.14", delays);
    }

    /// <summary>A run in logic-only mode that stopped because the motor supply was on must not claim that it was off.</summary>
    [Fact]
    public void The_mode_claims_nothing_of_the_motor_supply()
    {
        var terms = Page().Descendants("header").Single().Descendants("dd").Select(term => term.Value).ToList();
        Assert.Contains("logic only, nothing on this board moves", terms); // this board has no line that moves anything
        Assert.DoesNotContain(terms, term => term.Contains("supply", StringComparison.Ordinal));
    }

    [Fact]
    public void It_needs_no_other_file_and_no_script()
    {
        var page = Page();
        Assert.Empty(page.Descendants("script"));
        Assert.Empty(page.Descendants("link"));
        Assert.All(page.Descendants().Attributes("src"), source => Assert.StartsWith("data:", source.Value, StringComparison.Ordinal));
        var style = page.Descendants("style").Single();
        Assert.DoesNotContain("url(", style.Value, StringComparison.Ordinal);
        Assert.DoesNotContain(style.Value, character => character is '<' or '>' or '&'); // a browser would not undo their escapes
    }

    [Fact]
    public void Only_elements_without_content_are_self_closed()
    {
        var selfClosed = System.Text.RegularExpressions.Regex.Matches(Html(), @"<(\w+)[^<>]*/>").Select(match => match.Groups[1].Value).Distinct();
        Assert.All(selfClosed, name => Assert.Contains(name, _void));
        Assert.StartsWith("<!DOCTYPE html>", Html(), StringComparison.Ordinal);
    }

    [Fact]
    public void Names_and_words_cannot_become_markup()
    {
        Assert.Equal(SomeSweep.BoardName.Replace('\u0001', '\uFFFD'), Page().Descendants("h1").Single().Value);
        // A board's own cautions are for motion.
        var moved = XDocument.Parse(RunReport.Write(SomeSweep.Result() with { Mode = Core.Scheduling.ExerciseMode.Motion }, "p.yaml", Pictures()));
        Assert.Contains("Nobody is <near> the dome.", moved.Descendants("footer").Single().Value, StringComparison.Ordinal);
    }

    [Fact]
    public void Why_a_run_was_stopped_stands_in_the_answer()
    {
        var html = RunReport.Write(SomeSweep.Result(new(SweepOutcome.StoppedForSafety, "emergency-stop is low.")), "p.yaml", Pictures());
        Assert.Contains("Stopped. emergency-stop is low.", XDocument.Parse(html).Descendants("section").First().Value, StringComparison.Ordinal);
    }

    [Fact]
    public void A_picture_says_in_words_what_each_panel_shows()
    {
        var picture = WaveformPicture.Of(DomeChannel.DeadIsolator(), new("Dome", new(2026, 11, 25, 13, 0, 0, TimeSpan.Zero), Simulated: false));
        var words = PictureDescription.Of(picture);
        Assert.Contains("channel shutter-open, dead", words, StringComparison.Ordinal);
        Assert.Contains("OK3.5, FIRST WRONG", words, StringComparison.Ordinal);
        var places = picture.Panels.Select(panel => words.IndexOf(panel.Name + ", " + panel.StandingWords, StringComparison.Ordinal)).ToList();
        Assert.DoesNotContain(-1, places);
        Assert.Equal(places.Order(), places);
    }

    private static ImmutableDictionary<string, ChannelPicture> Pictures() => SomeSweep.Result().Channels
        .Where(channel => channel.Capture is not null)
        .ToImmutableDictionary(channel => channel.Channel.Name, channel => new ChannelPicture(_png, $"Waveforms of {channel.Channel.Name}"));

    /// <summary>A profile's path may hold anything.</summary>
    [Fact]
    public void The_command_of_a_proposed_injection_stands_below_the_advice_as_it_is_typed()
    {
        var page = XDocument.Parse(RunReport.Write(SomeSweep.Result(), "p.yaml", Pictures(), "testrig inject 'a & b.yaml' --at OK3.5"));
        Assert.Equal("testrig inject 'a & b.yaml' --at OK3.5", Assert.Single(page.Descendants("code")).Value);
        Assert.Empty(XDocument.Parse(Html()).Descendants("code"));
    }

    private static string Html() => RunReport.Write(SomeSweep.Result(), "profiles/dome & drive.yaml", Pictures());

    private static XElement Page() => XDocument.Parse(Html()).Root!;
}
