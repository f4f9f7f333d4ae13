using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing;

/// <summary>Something that would explain findings.</summary>
/// <param name="Group">
/// Replaceable parts, leads or lines that nothing observed can tell apart, most probable first. More than one is an ambiguity group.
/// </param>
/// <param name="Mode">How the first of them would have to fail.</param>
/// <param name="Words">The same in words, with the section where it matters.</param>
/// <param name="Belief">Share of belief of the whole group among all explanations of these channels, 0..1.</param>
/// <param name="Explains">The channels whose findings it explains.</param>
public sealed record Suspect(
    ImmutableArray<string> Group, FaultMode Mode, string Words, double Belief, ImmutableArray<string> Explains)
{
    /// <summary>Every fault that belongs to it, most probable first; those of items that are too improbable to be named among them.</summary>
    public ImmutableArray<BoardFault> Faults { get; init; } = [];
}
