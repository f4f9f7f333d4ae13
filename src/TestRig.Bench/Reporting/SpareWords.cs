using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Reporting;

/// <summary>The parts to have at hand, as screen and report tell them.</summary>
public static class SpareWords
{
    /// <summary>Choices of one ambiguity group that a person reads; the record has them all.</summary>
    private const int MostNamed = 5;

    /// <summary>"1 x 4N25 (OK3)"; "1 x 4N25 (OK3 or OK4)".</summary>
    public static string Of(Spare spare) => string.Create(
        CultureInfo.InvariantCulture, $"{spare.Count} x {spare.Type} ({Named(spare.Parts, spare.Count < spare.Parts.Length ? " or " : ", ")})");

    /// <summary>"1 x 4N25 (OK3)", or "one of 1 x 4N25 (OK3), 1 x BD140 (Q3), unless it is the lead at OK3.5".</summary>
    public static string Of(SpareNeed need) =>
        (need.OneOf.Length > 1 ? "one of " : "") + Named([.. need.OneOf.Select(Of)], ", ") + (need.Unless.IsEmpty ? "" : $", unless it is the {Named(need.Unless, " or the ")}");

    /// <summary>All that is to be replaced now.</summary>
    public static string Now(Spares spares) => string.Join("; ", spares.Now.Select(Of));

    /// <summary>What is worth having in reserve and why, a type in each; what was measured and found far from its limits, too.</summary>
    public static IEnumerable<string> Reserve(Spares spares)
    {
        foreach (var (type, count) in spares.OthersOfType.Where(others => others.Count > 0))
        {
            var near = spares.Marginal.Where(part => part.Type == type).ToList();
            yield return near.Count == 0
                ? string.Create(CultureInfo.InvariantCulture, $"{count} more {type} on this board {(count == 1 ? "was" : "were")} measured, none near a limit.")
                : string.Create(
                    CultureInfo.InvariantCulture,
                    $"{Of(spares.InReserve.Single(spare => spare.Type == type))} in reserve: parts of one type age together, and of {count} more measured {(near.Count == 1 ? "this one is" : "these are")} near a limit. {string.Join(" ", near.Select(part => $"{part.Words}."))}");
        }
    }

    private static string Named(ImmutableArray<string> names, string between) => names.Length <= MostNamed
        ? string.Join(between, names)
        : string.Create(CultureInfo.InvariantCulture, $"{string.Join(between, names.Take(MostNamed))} and {names.Length - MostNamed} more");
}
