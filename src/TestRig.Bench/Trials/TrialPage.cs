using System.Globalization;
using System.Xml.Linq;
using TestRig.Bench.Reporting;
using TestRig.Core.Trials;
using static TestRig.Bench.Reporting.HtmlPage;
using static TestRig.Bench.Reporting.ReportPage;

namespace TestRig.Bench.Trials;

/// <summary>A trial as one page to print and to lay into the drawer with the parts.</summary>
public static class TrialPage
{
    /// <param name="profile">The profile's path as the user wrote it.</param>
    /// <param name="record">What is on record of the socket beside this.</param>
    public static string Write(TrialResult result, string profile, BoardRecord record) => Page(
        $"Trial of {result.Claimed.Name}, {result.Board.Name}",
        Tag("header",
            Title("Parts on trial", $"{result.Claimed.Name}, {result.Claimed.Description}"),
            Tag("dl",
                Term("Socket", $"{result.Board.Name} ({profile})"),
                SerialOf(record),
                Term("Adapter", Words.Adapter(result.Adapter)),
                Term("Started", result.Started.ToString("yyyy-MM-dd HH:mm:ss zzz", CultureInfo.InvariantCulture)))),
        Tag("section", Id("answer"), Tag("h2", TrialWords.Verdict(result)), Explanation(result)),
        NotesOf(record),
        Parts(result),
        Permitted(result),
        Tag("footer", Reading(result)));

    /// <summary>What stands below the verdict.</summary>
    internal static object?[] Explanation(TrialResult result) =>
    [
        result.Ending.Length > 0 ? Tag("p", Class("stopped"), result.Ending) : null,
        Suspicions(result),
        result.Batch.Outliers.IsEmpty ? null : Tag("div", Tag("h3", "Outliers"), Tag("ul", result.Batch.Outliers.Select(outlier => Tag("li", TrialWords.Of(outlier)))), Tag("p", $"What that is: {TrialWords.OutlierNote}.")),
        TrialWords.Tolerance(result.Batch) is { } tolerance ? Tag("p", Tag("strong", "The delivery. "), tolerance + ".") : null,
    ];

    internal static XElement Parts(TrialResult result) =>
        Tag("section", Tag("h2", "Part by part"), Table(result), TrialWords.Skipped(result) is { } skipped ? Tag("p", $"{Words.Capitalised(skipped)}.") : null);

    internal static XElement Permitted(TrialResult result) =>
        Tag("section", Tag("h2", "Limits"), Tag("p", "Those of delays are for a typical part here; each part is judged at its own collector current."), Limits(result));

    /// <summary>How its figures are to be read.</summary>
    internal static object[] Reading(TrialResult result) =>
        [Tag("p", TrialWords.Conditions(result)), Tag("p", "± is the half-width that holds the value with 95 %; of a delay, as far as it may be off at all. A figure conforms, or violates its limit, only where all of that lies on one side (JCGM 106).")];

    private static XElement? Suspicions(TrialResult result)
    {
        var all = result.Batch.Suspicions
            .Concat(result.Batch.Parts.SelectMany(part => part.Suspicions.Select(words => string.Create(CultureInfo.InvariantCulture, $"part {part.Number}: {words}")))).ToList();
        return all.Count == 0 ? null : Tag("div", Class("fault"), Tag("h3", "Suspicion, not proof"), Tag("ul", all.Select(words => Tag("li", words))));
    }

    private static XElement Table(TrialResult result) => Tag("table",
        Tag("thead", Row("th", ["Part", .. Enum.GetValues<TrialFigure>().Select(figure => Words.Capitalised(TrialWords.Of(figure))), "Verdict", "Why"])),
        Tag("tbody", result.Batch.Parts.Select(part => Tag("tr",
            part.Verdict == TrialVerdict.Violates ? Class("wrong") : null,
            Tag("td", part.Number.ToString(CultureInfo.InvariantCulture)),
            part.Figures.Select(figure => Tag("td", TrialWords.Value(figure.Figure, figure.Value))),
            Tag("td", Badge(part.Verdict)),
            Tag("td", string.Join("; ", part.Figures.Where(figure => figure.Verdict is TrialVerdict.Violates or TrialVerdict.NotResolved).Select(TrialWords.Sentence)))))));

    private static XElement Limits(TrialResult result) => Tag("table",
        Tag("thead", Row("th", "Figure", "Permitted", "Source")),
        Tag("tbody", TrialLimit.Of(result.Board.Socket!, result.Claimed).Select(limit => Row("td", Words.Capitalised(TrialWords.Of(limit.Figure)), TrialWords.Limit(limit), limit.Origin))));

    private static XElement Badge(TrialVerdict verdict) => verdict switch
    {
        TrialVerdict.Conforms => Good(TrialWords.Of(verdict)),
        TrialVerdict.Violates => Bad(TrialWords.Of(verdict)),
        _ => Open(TrialWords.Of(verdict)),
    };
}
