using System.Globalization;
using TestRig.Bench.Reporting;

namespace TestRig.Bench.Wiring;

/// <summary>Passes as text of at most 80 columns, to tick off.</summary>
public static class PassList
{
    private const string Box = "[ ] ";

    public static IEnumerable<string> Lines(ClipPasses passes)
    {
        foreach (var line in Fold("", PassWords.Sum(passes)))
            yield return line;
        if (PassWords.Split(passes) is { } split)
        {
            foreach (var line in Fold("", split))
                yield return line;
        }
        if (passes.Passes.Length > 1)
        {
            foreach (var line in Fold("", PassWords.Between(passes.Board)))
                yield return line;
        }
        foreach (var pass in passes.Passes)
        {
            yield return "";
            foreach (var line in Fold(string.Create(CultureInfo.InvariantCulture, $"Pass {pass.Number,-3} "), PassWords.Shown(pass)))
                yield return line;
            foreach (var line in Rows(pass))
                yield return line;
        }
    }

    private static IEnumerable<string> Rows(ClipPass pass)
    {
        var leads = WiringPlan.Of(pass.Board).Leads.ToDictionary(lead => lead.Point);
        var rows = pass.Number == 1
            ? pass.Clips.Select(clip => (Pin: clip.LeadEnd!, From: "", To: clip.Name, Words: $"through {LeadWords.Through(leads[clip.Name])}")).ToList()
            : [.. pass.Moves.Select(move => (Pin: move.To.LeadEnd!, From: move.From.Name, To: move.To.Name, Words: PassWords.Change(move, leads[move.To.Name])))];
        int Widest(Func<(string Pin, string From, string To, string Words), string> of) => rows.Select(of).Select(text => text.Length).DefaultIfEmpty(0).Max();
        var (pin, from, to) = (Widest(row => row.Pin), Widest(row => row.From), Widest(row => row.To));
        foreach (var row in rows)
        {
            var label = $"{Box}{row.Pin.PadRight(pin)}  {(pass.Number == 1 ? "" : $"from {row.From.PadRight(from)}  ")}to {row.To.PadRight(to)}  ";
            foreach (var line in Fold(label, row.Words))
                yield return line.TrimEnd();
        }
    }

    private static IEnumerable<string> Fold(string label, string words) => TextFold.Fold(label, words, WiringList.Width);
}
