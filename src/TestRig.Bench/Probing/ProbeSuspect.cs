using System.Collections.Immutable;
using TestRig.Core.Diagnosing;
using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Bench.Probing;

/// <summary>What may be wrong by all that was seen so far.</summary>
/// <param name="Item">What would be replaced, reclipped or looked for; several where only together they explain it; null: nothing is wrong.</param>
/// <param name="Words">The most probable way in which it would have failed.</param>
/// <param name="Belief">Share of belief, 0..1.</param>
public sealed record ProbeSuspect(string? Item, string Words, double Belief)
{
    /// <summary>Less belief than this is not worth saying.</summary>
    private const double NotWorthSaying = 0.01;

    /// <summary>Most probable first.</summary>
    internal static ImmutableArray<ProbeSuspect> Of(SearchResult<BoardFault> believed) =>
    [
        .. believed.Ranked
            .GroupBy(entry => entry.Explanation.Faults.IsEmpty ? null : string.Join(" with ", entry.Explanation.Faults.Select(fault => fault.Item).Distinct().Order(StringComparer.Ordinal)))
            .Select(group => new ProbeSuspect(group.Key, string.Join(" and ", group.First().Explanation.Faults.Select(fault => fault.Words)), group.Sum(entry => entry.Belief)))
            .Where(suspect => suspect.Belief >= NotWorthSaying)
            .OrderByDescending(suspect => suspect.Belief),
    ];
}
