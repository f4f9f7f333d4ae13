using System.Collections.Immutable;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Recordings;

/// <summary>
/// A diagnosis of what another instrument recorded, in its words: it has probes and names where an adapter has leads, and somebody records again where one would sweep. What shows at exchanged probes shows at exchanged nets too.
/// </summary>
internal static class RecordedAdvice
{
    public static Diagnosis Of(Diagnosis diagnosis) => diagnosis with
    {
        Faults = [.. diagnosis.Faults.Select(Of)],
        NextProbe = diagnosis.NextProbe is { } next ? Again(next.Replace("Clip a lead to ", "Clip a probe to ", StringComparison.Ordinal)) : null,
    };

    private static Fault Of(Fault fault)
    {
        ImmutableArray<Suspect> suspects = [.. fault.Suspects.Select(Of)];
        return fault with { Suspects = suspects, Advice = AdviceOf(fault.Suspects[0], fault.Advice) };
    }

    private static Suspect Of(Suspect suspect) => suspect with
    {
        Group = [.. suspect.Group.Select(Item)],
        Words = suspect.Faults is [{ IsExchange: true }, ..] ? "exchanged, or their nets are" : suspect.Words,
    };

    private static string AdviceOf(Suspect first, string advice)
    {
        if (first.Faults is not [{ IsLead: true, Between: [var one, var other] } lead, ..])
            return Again(first.Group.Aggregate(advice, (words, item) => words.Replace(item, Item(item), StringComparison.Ordinal)));
        var others = first.Group.Length > 1 ? $" What was recorded does not tell it from: {string.Join(", ", first.Group.Skip(1).Select(Item))}." : "";
        return lead.IsExchange
            ? $"See whether the probes at {one} and {other} are exchanged, or their names in the recording or in the profile's recordings.signals. When all that is right, {one} and {other} are exchanged on the board: a wrong repair, or a wrong cable. Then record again.{others}"
            : $"See whether the probe for {one} is at {other}, or has its name in the recording. When it is right, look for what joins the two nets. Then record again.{others}";
    }

    private static string Item(string item) =>
        item.StartsWith("leads at ", StringComparison.Ordinal) || item.StartsWith("lead at ", StringComparison.Ordinal) ? "probe" + item["lead".Length..]
        : item.StartsWith("leads of lines ", StringComparison.Ordinal) ? "probes of lines " + item["leads of lines ".Length..]
        : item.StartsWith("lead to ", StringComparison.Ordinal) ? "connection behind " + item["lead to ".Length..]
        : item;

    private static string Again(string words) => words.Replace("sweep again", "record again", StringComparison.Ordinal);
}
