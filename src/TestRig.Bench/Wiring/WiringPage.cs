using System.Globalization;
using System.Xml.Linq;
using TestRig.Bench.Reporting;
using static TestRig.Bench.Reporting.HtmlPage;

namespace TestRig.Bench.Wiring;

/// <summary>
/// The clip list as one page, wiring.html, to print and pin to the wall: what comes before, a figure for each group of leads, and the leads once more by the
/// adapter's pin. It needs no other file, no network and no scripts.
/// </summary>
public static class WiringPage
{
    /// <param name="profile">The profile's path as the user wrote it.</param>
    public static string Write(WiringPlan plan, string profile) => Write(plan, profile, null);

    /// <summary>The leads of the first pass, and what is moved before each later one.</summary>
    /// <param name="profile">The profile's path as the user wrote it.</param>
    public static string Write(ClipPasses passes, string profile) => Write(WiringPlan.Of(passes.Passes[0].Board), profile, passes);

    private static string Write(WiringPlan plan, string profile, ClipPasses? passes)
    {
        return HtmlPage.Write($"Wiring of {plan.Board.Name}", Style,
            Tag("header",
                Tag("h1", $"Wiring: {plan.Board.Name}"),
                Tag("p", $"{Words.Count(plan.Leads.Count(), "lead")}, {Words.Count(plan.Grounds.Length, "ground clip")}; from {profile}. Packages are seen from the component side. A thick lead drives, a thin one looks. “≤” is the most that comes to the adapter's pin. A divider sits at the clip, a single resistor at the adapter.")),
            Tag("section", Tag("h2", "Before the first clip"), Tag("ol", plan.Before.Select(step => Tag("li", step)))),
            Tag("section",
                Tag("h2", "Ground clips: first on, last off"),
                Tag("ul", new XAttribute("class", "ticks"), plan.Grounds.Select(ground => Tag("li",
                    Tag("strong", $"GND to {ground.To}"), ground.Because is null ? null : $": bridges the isolation; permitted because {ground.Because}")))),
            Tag("section",
                Tag("h2", passes is null or { Passes.Length: 1 } ? "Leads, in this order" : "Leads of pass 1, in this order"),
                plan.Groups.SelectMany(group => FigureLayout.Of(group)).Select(Figure)),
            passes is null ? null : Passes(passes),
            Tag("section",
                Tag("h2", "When all are on"), Tag("ol", plan.After.Select(step => Tag("li", step))),
                Tag("h2", "Off again"), Tag("ol", plan.Off.Select(step => Tag("li", step)))),
            Tag("section",
                Tag("h2", "By the adapter's pin"),
                Tag("div", new XAttribute("class", "columns"), Tag("table",
                    Tag("thead", Row("th", "Pin", "Point", "Through", "At most")),
                    Tag("tbody", plan.Leads.OrderBy(lead => lead.AdapterPin, PinOrder.Instance)
                        .Select(lead => Row("td", lead.AdapterPin, lead.Point, LeadWords.Through(lead), LeadWords.AtMost(lead))))))));
    }

    private static XElement Passes(ClipPasses passes) => Tag("section",
        Tag("h2", "Passes"),
        Tag("p", PassWords.Sum(passes)),
        PassWords.Split(passes) is { } split ? Tag("p", split) : null,
        passes.Passes.Length > 1 ? Tag("p", PassWords.Between(passes.Board)) : null,
        Tag("div", new XAttribute("class", "columns"), passes.Passes.Select(pass => Tag("figure",
            Tag("figcaption", string.Create(CultureInfo.InvariantCulture, $"Pass {pass.Number}: {PassWords.Shown(pass)}")),
            pass.Moves.IsEmpty ? Tag("p", "The leads as they are drawn.") : MovesOf(pass)))));

    private static XElement MovesOf(ClipPass pass)
    {
        var leads = WiringPlan.Of(pass.Board).Leads.ToDictionary(lead => lead.Point);
        return Tag("table",
            Tag("thead", Row("th", "", "Pin", "From", "To", "Through")),
            Tag("tbody", pass.Moves.Select(move => Row("td", "☐", move.To.LeadEnd!, move.From.Name, move.To.Name, PassWords.Change(move, leads[move.To.Name])))));
    }

    private static XElement Figure(WiringFigure figure) => Tag("figure", Tag("figcaption", figure.Title), FigureSvg.Draw(figure));

    /// <summary>D9 before D10.</summary>
    private sealed class PinOrder : IComparer<string>
    {
        public static readonly PinOrder Instance = new();

        public int Compare(string? x, string? y)
        {
            var (first, second) = (Split(x!), Split(y!));
            return first.Letters != second.Letters ? string.CompareOrdinal(first.Letters, second.Letters)
                : first.Number != second.Number ? first.Number.CompareTo(second.Number)
                : string.CompareOrdinal(x, y);
        }

        private static (string Letters, long Number) Split(string pin)
        {
            var letters = pin.TrimEnd('0', '1', '2', '3', '4', '5', '6', '7', '8', '9');
            return (letters, long.TryParse(pin.AsSpan(letters.Length), out var number) ? number : -1);
        }
    }

    private const string Style = """
        @page { size: A4 portrait; margin: 12mm; }
        body { font: 10pt/1.35 system-ui, "DejaVu Sans", Arial, sans-serif; color: #000; background: #fff; max-width: 186mm; margin: 8mm auto; padding: 0 2mm; }
        h1 { font-size: 13pt; margin: 0 0 1mm; } h2 { font-size: 11pt; margin: 3mm 0 1mm; border-bottom: 0.4mm solid #000; break-after: avoid; }
        p { margin: 0 0 1mm; } ol, ul { margin: 0; padding-left: 6mm; }
        ul.ticks { list-style: "\2610\00a0\00a0"; }
        figure { margin: 2.5mm 0 0; break-inside: avoid; }
        figcaption { font-weight: bold; background: #e4e4e4; padding: 0.6mm 2mm; margin-bottom: 2mm; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
        svg { display: block; width: 100%; height: auto; font-family: system-ui, "DejaVu Sans", Arial, sans-serif; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
        svg line { stroke: #000; stroke-width: 0.3; } svg .drives line { stroke-width: 0.8; }
        svg .outline { fill: #fff; stroke: #000; stroke-width: 0.4; } svg .tick { fill: #fff; stroke: #000; stroke-width: 0.3; }
        svg .resistor { fill: #fff; stroke: #000; stroke-width: 0.35; } svg .solid { fill: #000; }
        svg .bold { font-weight: bold; } svg .faint { fill: #666; } svg .white { fill: #fff; }
        .columns { columns: 75mm 2; column-gap: 6mm; }
        table { border-collapse: collapse; width: 100%; font-size: 8pt; } tr { break-inside: avoid; }
        th, td { text-align: left; padding: 0.3mm 1.5mm 0.3mm 0; border-bottom: 0.15mm solid #999; }
        """;
}
