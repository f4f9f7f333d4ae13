using System.Collections.Immutable;

namespace TestRig.Tests.FaultSamples;

/// <summary>What a run's record says of a board.</summary>
/// <param name="Alarm">Something is wrong: a channel is faulty, a check is not good, or the sweep was not begun or not finished for what it saw.</param>
/// <param name="Conditions">Of each channel, in the profile's order.</param>
/// <param name="FirstGroup">The items of the first ambiguity group; empty where nothing is suspected.</param>
internal sealed record SampledVerdict(string Ending, bool Alarm, ImmutableArray<string> Conditions, ImmutableHashSet<string> FirstGroup)
{
    /// <summary>Why a channel was not tested though the sweep came to its end, for whoever reads the report; empty where none was.</summary>
    public string Untested { get; private init; } = "";

    private static readonly string[] _notFaulty = ["working", "not-tested"];

    public static SampledVerdict Of(RunRecord record)
    {
        var ending = record.Root.GetProperty("ending").GetProperty("outcome").GetString()!;
        var bad = record.Root.GetProperty("checks").EnumerateArray().Any(check => !check.GetProperty("good").GetBoolean());
        var untested = ending == "complete"
            ? record.Root.GetProperty("channels").EnumerateArray().Where(channel => channel.GetProperty("condition").GetString() == "not-tested").Select(channel => channel.GetProperty("summary").GetString())
            : [];
        return new(
            ending, bad || ending is "stopped-for-safety" or "not-ready" || record.Conditions.Values.Any(condition => !_notFaulty.Contains(condition)),
            [.. record.Conditions.Select(channel => $"{channel.Key} {channel.Value}")], [.. record.FirstSuspects])
        {
            Untested = string.Join(' ', untested.Distinct()),
        };
    }

    /// <summary>Ending, alarm and conditions alike, and neither first group has an item without the other having all of its own.</summary>
    public bool IsSameAs(SampledVerdict other) =>
        Ending == other.Ending && Alarm == other.Alarm && Conditions.SequenceEqual(other.Conditions)
        && FirstGroup.IsEmpty == other.FirstGroup.IsEmpty && (FirstGroup.IsSubsetOf(other.FirstGroup) || other.FirstGroup.IsSubsetOf(FirstGroup));

    public bool HasSameGroupAs(SampledVerdict other) => FirstGroup.SetEquals(other.FirstGroup);

    public override string ToString()
    {
        var faulty = Conditions.Where(condition => !condition.EndsWith(" working", StringComparison.Ordinal)).ToList();
        var conditions = faulty.Count == 0 ? "all working" : string.Join(", ", faulty);
        return $"{(Ending == "complete" ? "" : $"{Ending}, ")}{(Alarm ? "" : "NOT DETECTED, ")}{conditions}; suspects: {(FirstGroup.IsEmpty ? "none" : string.Join(" | ", FirstGroup.Order(StringComparer.Ordinal)))}{(Untested.Length == 0 ? "" : $" ({Untested})")}";
    }
}
