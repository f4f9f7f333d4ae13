using System.Collections.Immutable;
using System.Xml.Linq;
using TestRig.Bench.Comparing;
using TestRig.Bench.Soaking;
using static TestRig.Bench.Reporting.HtmlPage;
using static TestRig.Bench.Reporting.ReportPage;

namespace TestRig.Bench.Reporting;

/// <summary>Two runs compared as one page, compare.html: first what became better or worse, then each channel with its figures and, where it changed, its waveforms one over the other.</summary>
public static class ComparisonReport
{
    /// <param name="pictures">Of a channel, by its name: the later run with the earlier one laid over it.</param>
    public static string Write(RunComparison comparison, ImmutableDictionary<string, ChannelPicture> pictures) => Page(
        $"{comparison.After.Board.Name}: {ComparisonWords.Verdict(comparison)}",
        Tag("header",
            Title("Before and after", comparison.After.Board.Name),
            Tag("dl", Term("Before", ComparisonWords.Of(comparison.Before)), Term("After", ComparisonWords.Of(comparison.After)))),
        Tag("section",
            Id("answer"),
            Tag("h2", ComparisonWords.Verdict(comparison)),
            Explanation(comparison)),
        NotesOf(new(null, [.. comparison.Notes])),
        Tag("section", Id("channels"), Tag("h2", "Channel by channel"), comparison.Channels.Select(channel => Channel(channel, pictures.GetValueOrDefault(channel.Channel)))),
        Tag("footer", Tag("p", ComparisonWords.Rule(comparison))));

    /// <summary>What stands below the verdict.</summary>
    internal static object?[] Explanation(RunComparison comparison) =>
    [
        Tag("ul", Class("conditions"), comparison.Channels.Select(channel => Tag("li", ToChannel(channel.Channel), Badge(channel)))),
        OnlyIn("before", comparison.OnlyBefore),
        OnlyIn("after", comparison.OnlyAfter),
        Tag("p", ComparisonWords.Unchanged(comparison)),
    ];

    private static XElement? OnlyIn(string run, ImmutableArray<string> channels) => channels.IsEmpty ? null : Tag("p", $"Only {run}: {string.Join(", ", channels)}.");

    private static XElement Channel(ChannelChange change, ChannelPicture? picture) => Tag("article",
        ChannelId(change.Channel),
        Tag("h3", change.Channel, " ", Badge(change)),
        Tag("p", ComparisonWords.Of(change)),
        picture is null ? null : Picture(picture),
        Figures(change));

    /// <summary>Without any where nothing was measured in both.</summary>
    internal static object?[] Figures(ChannelChange change) =>
    [
        change.Figures.IsEmpty ? null : Tag("table",
            Tag("caption", "What was measured: means over all cycles of each run"),
            Row("th", "Figure", "Before", "After", "Difference", "Permitted", "Compared"),
            change.Figures.Select(figure => Row(
                "td",
                SoakWords.NameInChannel(figure.Key),
                SoakWords.Value(figure.Key.Kind, figure.Before.Mean),
                SoakWords.Value(figure.Key.Kind, figure.After.Mean),
                $"{SoakWords.Signed(figure.Key.Kind, figure.Difference)}{(figure.HalfWidth is { } width ? $" ± {SoakWords.Value(figure.Key.Kind, width)}" : "")}",
                SoakWords.Permitted(figure.After.Lowest, figure.After.Highest, figure.Key.Kind),
                ComparisonWords.Of(figure.Standing)))),
        change.OnlyOnce.IsEmpty ? null : Tag("p", $"Measured in one of the runs only: {string.Join("; ", change.OnlyOnce)}."),
    ];

    /// <summary>What fails as it did before is not good for that.</summary>
    internal static XElement Badge(ChannelChange change)
    {
        var words = ComparisonWords.Of(change.Overall);
        return change.Overall switch
        {
            Standing.Worse => Bad(words),
            Standing.Same when change.After.Failures > 0 => Bad($"{Words.Of(ChannelChange.MostOften(change.After))}, {words}"),
            Standing.Same or Standing.Better => Good(words),
            _ => Open(words),
        };
    }
}
