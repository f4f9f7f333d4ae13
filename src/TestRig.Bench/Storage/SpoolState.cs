using System.Collections.Immutable;

namespace TestRig.Bench.Storage;

/// <summary>How a spool stands with the store that it copies to.</summary>
/// <param name="AwaySince">Since when nothing can be copied; null while it can.</param>
/// <param name="Words">Why nothing can be copied, and what to do; null while it can.</param>
/// <param name="CyclesWaiting">Cycles, and parts of trials, that the shared store does not have yet, as far as is known: of a run that was not looked for there since this spool was opened, all.</param>
/// <param name="Refused">Runs that stay in the local store for a reason of their own, by name, with the reason and the remedy.</param>
public sealed record SpoolState(DateTimeOffset? AwaySince, string? Words, long CyclesWaiting, ImmutableSortedDictionary<string, string> Refused)
{
    /// <summary>Whether the shared store answered when it was asked last.</summary>
    public bool Reachable => AwaySince is null;
}
