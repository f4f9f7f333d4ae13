using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Reporting;

namespace TestRig.Bench.Wiring;

/// <summary>The clip list as text of at most 80 columns, to tick off.</summary>
public static class WiringList
{
    public const int Width = 80;

    private const string Box = "[ ] ";

    /// <summary>All of it, from the first step to the last.</summary>
    public static IEnumerable<string> Lines(WiringPlan plan) =>
    [
        .. Steps("Before", plan.Before), "", .. Grounds(plan), .. Leads(plan, ImmutableDictionary<string, string>.Empty), "",
        .. Steps("After", plan.After), "", .. Steps("Off", plan.Off),
    ];

    /// <summary>The leads alone, each with what a check found at it.</summary>
    /// <param name="found">By point.</param>
    public static IEnumerable<string> Found(WiringPlan plan, IReadOnlyDictionary<string, string> found) => Leads(plan, found).Skip(1);

    private static IEnumerable<string> Grounds(WiringPlan plan)
    {
        yield return "Ground clips, first on, last off";
        foreach (var ground in plan.Grounds)
        {
            var words = ground.Because is null ? ground.To : $"{ground.To}. This bridges the isolation; the profile permits it because {ground.Because}";
            foreach (var line in Fold($"{Box}GND  ", words))
                yield return line;
        }

    }

    private static IEnumerable<string> Leads(WiringPlan plan, IReadOnlyDictionary<string, string> found)
    {
        var all = Columns.For([.. plan.Leads]);
        foreach (var group in plan.Groups)
        {
            // Numbers and pins stand below each other throughout; what is wide in one group need not spread the others.
            var columns = Columns.For([.. group.Leads]) with { Number = all.Number, Pin = all.Pin };
            yield return "";
            foreach (var line in Fold("", group.Heading))
                yield return line;
            yield return columns.Row("    ", "no", "pin", "through", "point", "at most", "").TrimEnd();
            foreach (var lead in group.Leads)
            {
                foreach (var line in Row(columns, group.SharedGround is null ? lead : lead with { Ground = null }, found.GetValueOrDefault(lead.Point)))
                    yield return line;
            }
        }
    }

    private static IEnumerable<string> Row(Columns columns, Lead lead, string? found)
    {
        var row = columns.Row(
            Box, lead.Number.ToString(CultureInfo.InvariantCulture), lead.AdapterPin, LeadWords.Through(lead), lead.Point, LeadWords.AtMost(lead), "");
        // On the row as long as it fits, else below it.
        var below = new List<string>();
        foreach (var words in LeadWords.Remarks(lead).Append(found ?? "").Where(words => words.Length > 0))
        {
            if (below.Count == 0 && row.Length + words.Length < Width)
                row += words + "  ";
            else
                below.Add(words);
        }
        yield return row.TrimEnd();
        foreach (var line in below.SelectMany(words => Fold(new string(' ', columns.Indent), words)))
            yield return line;
    }

    private static IEnumerable<string> Steps(string label, IEnumerable<string> steps) =>
        steps.SelectMany((step, index) => Fold(string.Create(CultureInfo.InvariantCulture, $"{(index == 0 ? label : ""),-8}{index + 1}  "), step));

    private static IEnumerable<string> Fold(string label, string words) => TextFold.Fold(label, words, Width);

    /// <summary>As wide as the widest entry.</summary>
    private sealed record Columns(int Number, int Pin, int Through, int Point, int AtMost)
    {
        public static Columns For(IReadOnlyCollection<Lead> leads)
        {
            int Widest(Func<Lead, string> text, string heading) => leads.Select(lead => text(lead).Length).Append(heading.Length).Max();
            return new(
                Widest(lead => lead.Number.ToString(CultureInfo.InvariantCulture), "no"), Widest(lead => lead.AdapterPin, "pin"), Widest(LeadWords.Through, "through"),
                Widest(lead => lead.Point, "point"), Widest(LeadWords.AtMost, "at most"));
        }

        /// <summary>Further words of a lead stand below its pin.</summary>
        public int Indent => Box.Length + Number + 2;

        public string Row(string box, string number, string pin, string through, string point, string atMost, string remark) =>
            $"{box}{number.PadLeft(Number)}  {pin.PadRight(Pin)}  {through.PadRight(Through)}  {point.PadRight(Point)}  {atMost.PadLeft(AtMost)}  {remark}";
    }
}
