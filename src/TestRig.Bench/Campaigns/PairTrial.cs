using System.Collections.Immutable;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>Two faults of different items, put into one bench, and what the sweep said.</summary>
/// <param name="Seed">Of the bench: with it the sweep can be run again.</param>
/// <param name="Visible">The single faults that the pair looks like; null of a pair that looks like none.</param>
/// <param name="Found">Of a pair that looks like none: each of the two, or a fault that looks like it, is within the first two groups of a reported fault of its own. Else: a visible fault is in the first group.</param>
/// <param name="SaidAlike">Of a pair that looks like no single fault: what was named instead looks just like the two together, and is no less probable.</param>
/// <param name="Reported">The first two groups of each fault that the diagnosis reported.</param>
public sealed record PairTrial(
    BoardFault First, BoardFault Second, int Seed, PairLook Look, FaultClass? Visible, bool Detected, bool Found, bool SaidAlike, ImmutableArray<ImmutableArray<ImmutableArray<BoardFault>>> Reported)
{
    /// <param name="together">What a board shows that has both.</param>
    internal static PairLook LookOf(Observation together, StructuralClasses classes, BoardFault first, BoardFault second) =>
        together.IsNominallyLike(classes.Healthy) ? PairLook.Healthy
        : classes.LikeThis(together) is not { } visible ? PairLook.Distinct
        : visible.Faults.Contains(first) || visible.Faults.Contains(second) ? PairLook.Masked
        : PairLook.LikeAnother;

    /// <summary>Whether two classes are found, one in each of two reported faults.</summary>
    internal static bool BothFound(FaultClass first, FaultClass second, ImmutableArray<ImmutableArray<ImmutableArray<BoardFault>>> reported) =>
        reported is [var one, var other] && ((Names(one, first) && Names(other, second)) || (Names(one, second) && Names(other, first)));

    private static bool Names(ImmutableArray<ImmutableArray<BoardFault>> groups, FaultClass wanted) => groups.Any(group => group.Any(wanted.Faults.Contains));
}
