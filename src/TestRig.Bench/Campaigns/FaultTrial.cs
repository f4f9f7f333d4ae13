using System.Collections.Immutable;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>One fault, put into one bench, and what the sweep said.</summary>
/// <param name="Seed">Of the bench: with it the sweep can be run again.</param>
/// <param name="Bound">All faults that look like it.</param>
/// <param name="Detected">Whether the sweep found that something is wrong.</param>
/// <param name="Reported">The first group of each fault that the diagnosis reported.</param>
/// <param name="LeftOut">Where one fault was reported, those of the bound that its first group lacks though, put into this very bench, they could have shown what the sweep saw.</param>
public sealed record FaultTrial(
    BoardFault Fault, int Seed, FaultClass Bound, bool Detected, ImmutableArray<ImmutableArray<BoardFault>> Reported, ImmutableArray<BoardFault> LeftOut)
{
    /// <summary>Exactly the faults of the bound were reported, as one fault. Where guard bands or specimens reach over each other, one sweep may tell more than another, and the group rightly be smaller.</summary>
    public bool IsAsBound => Reported is [var group] && Bound.IsMadeOf(group);

    /// <summary>The true one was reported, and nothing with it that a sweep can tell from it.</summary>
    public bool IsWithinBound => Reported is [var group] && group.Contains(Fault) && group.All(Bound.Faults.Contains);

    /// <summary>The group is the bound as far as this bench shows it: nothing else is in it, and what it lacks of the bound could not have shown what was seen.</summary>
    public bool IsAsShown => IsWithinBound && LeftOut.IsEmpty;

    /// <summary>Items among which the true one was reported; null when it was not among those of the first group, or more than one fault was reported.</summary>
    public int? IsolatedTo => Reported is [var group] && group.Contains(Fault) ? group.Select(fault => fault.Item).Distinct().Count() : null;

    /// <summary>What the board permits was not reached.</summary>
    public bool FellShort => Bound.Detectable && !(Detected && IsAsShown);
}
