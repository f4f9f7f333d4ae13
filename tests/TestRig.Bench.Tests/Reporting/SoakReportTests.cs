using System.Collections.Immutable;
using System.Xml.Linq;
using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Soaking;

namespace TestRig.Bench.Tests.Reporting;

public class SoakReportTests
{
    private static readonly byte[] _png = [0x89, 0x50, 0x4E, 0x47];

    [Fact]
    public async Task The_answer_comes_first_with_what_failed_what_explains_it_and_how_sure_the_rest_is()
    {
        var (result, page) = await PageAsync("");
        var answer = page.Descendants("section").First();
        Assert.Equal("answer", answer.Attribute("id")!.Value);
        Assert.Equal(SoakWords.Verdict(result), answer.Element("h2")!.Value);
        var failures = result.Tally.Channels.Single(channel => channel.Failures > 0).Failures;
        Assert.Equal(
            ["rotate-left✓ never failed", $"rotate-right✗ intermittent, {failures} times", "shutter-open✓ never failed", "shutter-close✓ never failed", "flap-raise✓ never failed", "flap-lower✓ never failed"],
            answer.Element("ul")!.Elements("li").Select(item => item.Value));
        Assert.Contains(answer.Descendants("tr"), row => row.Value.Contains("OK2never conducts", StringComparison.Ordinal));
        Assert.Contains("What to do. Replace OK2 (4N25).", answer.Value, StringComparison.Ordinal);
        Assert.Contains("First. It comes and goes.", answer.Value, StringComparison.Ordinal);
        Assert.Contains("Now: 1 x 4N25 (OK2)", answer.Value, StringComparison.Ordinal);
        Assert.Contains("success run, rule of three", answer.Value, StringComparison.Ordinal);
        Assert.DoesNotContain("Ended early", answer.Value, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Each_channel_has_a_part_that_the_answer_links_to_with_its_picture_and_all_its_figures()
    {
        var (result, page) = await PageAsync("");
        var articles = page.Descendants("article").ToList();
        Assert.Equal(page.Descendants("a").Select(link => link.Attribute("href")!.Value), articles.Select(article => "#" + article.Attribute("id")!.Value));
        Assert.Equal(6, articles.Count);
        Assert.All(articles.Zip(result.Tally.Channels), pair => Assert.Equal(
            result.Tally.Series.Count(series => series.Key.Channel == pair.Second.Channel), pair.First.Descendants("tr").Count() - 1));
        Assert.Equal(["what it shows", "its night"], articles[1].Descendants("img").Select(image => image.Attribute("alt")!.Value));
        Assert.All(articles[1].Descendants("img"), image => Assert.Equal("data:image/png;base64," + Convert.ToBase64String(_png), image.Attribute("src")!.Value));
        Assert.Empty(articles[0].Descendants("img"));
        Assert.Contains("Worked in all 40 cycles", articles[0].Value, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Why_it_ended_early_and_when_nobody_measured_stand_in_it()
    {
        var (_, page) = await PageAsync("Cancelled by the operator.");
        Assert.Contains("Ended early. Cancelled by the operator.", page.Descendants("section").First().Value, StringComparison.Ordinal);
        var sessions = page.Descendants("section").Single(section => section.Attribute("id")?.Value == "sessions").Descendants("tr").Skip(1).Select(row => row.Elements().Select(cell => cell.Value).ToArray()).ToList();
        Assert.Equal(["1", "12 March 2026, 18:00:00", "12 March 2026, 19:00:00", "", "ended by nobody: a crash, a power cut, or it still runs"], sessions[0]);
        Assert.Equal(["2", "12 March 2026, 22:00:00", "no cycle was finished", "3 h", "The adapter is gone."], sessions[1]);
    }

    /// <summary>A store that failed cannot tell them.</summary>
    [Fact]
    public async Task Without_sessions_nothing_is_said_of_them()
    {
        var (result, _) = await PageAsync("");
        Assert.DoesNotContain("When it was measured", SoakReport.Write(result, "", [], ImmutableDictionary<string, ChannelPicture>.Empty, ImmutableDictionary<string, ChannelPicture>.Empty), StringComparison.Ordinal);
    }

    [Fact]
    public async Task It_needs_no_other_file_and_no_script_and_no_two_elements_share_a_name()
    {
        var (_, page) = await PageAsync("");
        Assert.Empty(page.Descendants("script"));
        Assert.Empty(page.Descendants("link"));
        Assert.All(page.Descendants().Attributes("src"), source => Assert.StartsWith("data:", source.Value, StringComparison.Ordinal));
        var names = page.Descendants().Attributes("id").Select(id => id.Value).ToList();
        Assert.Equal(names.Distinct(), names);
    }

    /// <summary>Of a soak in which the second isolator fails now and then.</summary>
    private static async Task<(SoakResult Result, XDocument Page)> PageAsync(string ending)
    {
        await using var bench = await SoakBench.CreateAsync(["OK2=intermittent:0.1"], profile: "dome-drive");
        var result = await bench.SoakAsync(SoakBench.Cycled(40));
        var begun = Cycles.Started;
        ImmutableArray<StoredSession> sessions =
        [
            new(1, begun, begun.AddHours(1), null, null, "", "bench", 1),
            new(2, begun.AddHours(4), null, begun.AddHours(5), "The adapter is gone.", "", "bench", 2),
        ];
        var pictures = ImmutableDictionary<string, ChannelPicture>.Empty.Add("rotate-right", new(_png, "what it shows"));
        return (result, XDocument.Parse(SoakReport.Write(result, ending, sessions, pictures, ImmutableDictionary<string, ChannelPicture>.Empty.Add("rotate-right", new(_png, "its night")))));
    }
}
