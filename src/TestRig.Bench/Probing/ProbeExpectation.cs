using System.Collections.Immutable;
using TestRig.Core.Diagnosing;
using TestRig.Core.Diagnosing.Reasoning;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Probing;

/// <summary>What a point may do for the command, as a technician tells it.</summary>
public enum ProbeSight
{
    /// <summary>It changes and comes back as on a good board.</summary>
    Good,

    /// <summary>It changes, but too late, to a weak level, or not at rest.</summary>
    Poor,

    /// <summary>It stays as it is without a command.</summary>
    StaysIdle,

    /// <summary>It is all the time as it should be for the command alone.</summary>
    StaysActive,

    /// <summary>Anything else: the other way round, unsteady, or nothing was driven.</summary>
    Other,
}

/// <summary>One of the things that may be seen at a point, by all that is believed before the lead touches it.</summary>
/// <param name="Probability">0..1.</param>
/// <param name="Items">What would make it so, most probable first; empty of what needs no fault.</param>
public sealed record ProbeExpectation(ProbeSight Sight, double Probability, ImmutableArray<string> Items)
{
    /// <summary>Less probable than this is not worth saying.</summary>
    private const double NotWorthSaying = 0.005;

    /// <summary>More causes than these are not named.</summary>
    private const int MostItems = 3;

    /// <summary>Most probable first, but what a good board shows before all else.</summary>
    /// <param name="trace">The experiment that is the point's levels before, during and after the command.</param>
    /// <param name="idle">The point's level without a command, on a good board.</param>
    internal static ImmutableArray<ProbeExpectation> Of(
        IBoardModel model, SearchResult<BoardFault> believed, Outcomes seen, ImmutableArray<int> experiments, int trace, Level idle)
    {
        var good = Expected(model, [], seen, experiments);
        return
        [
            .. believed.Ranked
                .Select(entry => (Sight: SightOf(good, Expected(model, entry.Explanation.Faults, seen, experiments), experiments.IndexOf(trace), idle), entry.Explanation.Faults, entry.Belief))
                .GroupBy(entry => entry.Sight)
                .Select(group => new ProbeExpectation(group.Key, group.Sum(entry => entry.Belief), group.Key == ProbeSight.Good ? [] : Causes(group.Select(entry => (entry.Faults, entry.Belief)))))
                .Where(expectation => expectation.Probability >= NotWorthSaying)
                .OrderBy(expectation => expectation.Sight == ProbeSight.Good ? 0 : 1)
                .ThenByDescending(expectation => expectation.Probability),
        ];
    }

    private static ImmutableArray<uint> Expected(IBoardModel model, ImmutableArray<BoardFault> faults, Outcomes seen, ImmutableArray<int> experiments) =>
        [.. NextMeasurement.PossibleAt(model.Predict(faults), seen, experiments)];

    private static ProbeSight SightOf(ImmutableArray<uint> good, ImmutableArray<uint> here, int trace, Level idle)
    {
        if (here.SequenceEqual(good))
            return ProbeSight.Good;
        if (here[trace] == good[trace])
            return ProbeSight.Poor;
        if (here[trace] == 0 || !TraceOutcomes.IsOneLevel(here[trace]))
            return ProbeSight.Other;
        var low = (here[trace] & 1u) != 0;
        return low == (idle == Level.Low) ? ProbeSight.StaysIdle : ProbeSight.StaysActive;
    }

    private static ImmutableArray<string> Causes(IEnumerable<(ImmutableArray<BoardFault> Faults, double Belief)> explanations)
    {
        var items = explanations
            .Where(entry => !entry.Faults.IsEmpty)
            .GroupBy(entry => string.Join(" with ", entry.Faults.Select(fault => fault.Item).Distinct()))
            .Select(item => (Item: item.Key, Belief: item.Sum(entry => entry.Belief)))
            .OrderByDescending(item => item.Belief)
            .ToList();
        return [.. items.Take(MostItems).Where(item => item.Belief >= items[0].Belief / 10).Select(item => item.Item)];
    }
}
