using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Exercising;

/// <summary>From a diagnosis to what it says of the leads: a lead is blamed only where nothing on the board explains as well what was seen.</summary>
internal static class LeadVerdicts
{
    /// <summary>Shares of belief below this are no reason to doubt a lead, or a part (common practice: one in twenty).</summary>
    private const double Negligible = 0.05;

    /// <summary>More explanations than this are no help.</summary>
    private const int MostNamed = 4;

    public static ImmutableArray<LeadVerdict> Of(Diagnosis diagnosis) =>
    [
        .. diagnosis.Faults.Select(Of),
        .. diagnosis.Unexplained.Select(channel => new LeadVerdict(
            LeadBlame.Unexplained, $"Line of {channel}: its points do not answer as the profile has it, and neither a lead nor a part explains that. Compare its leads with the list, one by one.", [])),
    ];

    private static LeadVerdict Of(Fault fault)
    {
        // Of each item its most probable fault, those of items that are too improbable to be named left out.
        var named = fault.Suspects.Where((suspect, place) => place == 0 || suspect.Belief >= Negligible)
            .SelectMany(suspect => suspect.Group.Select(item => suspect.Faults.First(known => known.Item == item))).ToList();
        var leads = named.FindAll(known => known.IsLead);
        var blame = leads.Count == named.Count ? LeadBlame.Lead : leads.Count == 0 ? LeadBlame.Board : LeadBlame.LeadOrBoard;
        var words = string.Join(", or ", named.Take(MostNamed).Select(Sentence))
            + (named.Count > MostNamed ? string.Create(CultureInfo.InvariantCulture, $", or {named.Count - MostNamed} more") : "");
        var where = fault.Channels.IsEmpty ? "" : $" (seen in {string.Join(", ", fault.Channels)})";
        return new(
            blame,
            blame switch
            {
                LeadBlame.Board => $"No lead is at fault, but {words}{where}. A sweep tells more.",
                LeadBlame.LeadOrBoard => $"Either {words}{where}: the pulses do not tell which. Check the leads first.",
                _ when named.Count > 1 => $"Either {words}{where}: the pulses do not tell which.",
                _ => $"{char.ToUpperInvariant(words[0])}{words[1..]}{where}.",
            },
            [.. leads.SelectMany(known => known.Between.IsEmpty ? [PointOf(known)] : known.IsExchange ? known.Between : known.Between[..1]).Distinct()]);
    }

    private static string Sentence(BoardFault fault) =>
        !fault.IsLead ? $"{fault.Item}: {fault.Words}"
        : fault.IsExchange ? $"the {fault.Item} are exchanged"
        : fault.Between is [var one, var other] ? $"the lead for {one} is at {other}"
        : fault.Words == "open" ? $"the {fault.Item} is open"
        : $"the {fault.Item} is open: {fault.Words}";

    /// <summary>"U3.16" of "lead at U3.16", "J1.2" of "lead to J1.2".</summary>
    private static string PointOf(BoardFault fault) => fault.Item[(fault.Item.LastIndexOf(' ') + 1)..];
}
