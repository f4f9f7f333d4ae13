using System.Globalization;
using TestRig.Bench.Reporting;

namespace TestRig.Bench.Wiring;

/// <summary>The clip list as text of at most 80 columns, to tick off.</summary>
public static class WiringList
{
    public const int Width = 80;

    private const string Box = "[ ] ";

    /// <param name="found">What a check found at each lead, by point; empty when no adapter was asked.</param>
    public static IEnumerable<string> Lines(WiringPlan plan, IReadOnlyDictionary<string, string> found)
    {
        var leads = plan.Leads.ToList();
        var columns = Columns.For(leads);
        foreach (var line in Steps("Before", plan.Before).Append(""))
            yield return line;

        yield return "Ground clips, first on, last off";
        foreach (var ground in plan.Grounds)
        {
            var words = ground.Because is null ? ground.To : $"{ground.To}. This bridges the isolation; the profile permits it because {ground.Because}";
            foreach (var line in Fold($"{Box}GND  ", words))
                yield return line;
        }

        foreach (var group in plan.Groups)
        {
            yield return "";
            foreach (var line in Fold("", group.Title))
                yield return line;
            yield return columns.Row("    ", "no", "pin", "through", "point", "at most", "").TrimEnd();
            foreach (var lead in group.Leads)
            {
                foreach (var line in Row(columns, lead, found.GetValueOrDefault(lead.Point)))
                    yield return line;
            }
        }

        yield return "";
        foreach (var line in Steps("After", plan.After).Append("").Concat(Steps("Off", plan.Off)))
            yield return line;
    }

    private static IEnumerable<string> Row(Columns columns, Lead lead, string? found)
    {
        var row = columns.Row(
            Box, lead.Number.ToString(CultureInfo.InvariantCulture), lead.AdapterPin, LeadWords.Through(lead), lead.Point, LeadWords.AtMost(lead), "");
        var remark = LeadWords.Remark(lead);
        if (remark.Length > 0 && row.Length + remark.Length < Width)
            (row, remark) = (row + remark, "");
        yield return row.TrimEnd();
        foreach (var words in (string?[])[remark, found])
        {
            if (!string.IsNullOrEmpty(words))
            {
                foreach (var line in Fold(new string(' ', columns.Indent), words))
                    yield return line;
            }
        }
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
