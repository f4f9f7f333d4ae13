using System.Collections.Immutable;

namespace TestRig.Service;

/// <summary>The run store, for other programs.</summary>
/// <param name="Shared">Other services have their runs there, too.</param>
/// <param name="AwaySince">Null while it answers, and of a store that is a file.</param>
/// <param name="Words">Why it does not answer, and what to do; null while it does.</param>
/// <param name="CyclesWaiting">Cycles that are kept here until it has them.</param>
/// <param name="Refused">Runs that it does not take, with the reason and the remedy.</param>
internal sealed record StoreEntry(string Place, bool Shared, DateTimeOffset? AwaySince, string? Words, long CyclesWaiting, ImmutableSortedDictionary<string, string> Refused)
{
    public static StoreEntry Of(ServiceStore store) => store.Spool?.State is { } state
        ? new(store.Runs.Place, true, state.AwaySince, state.Words, state.CyclesWaiting, state.Refused)
        : new(store.Runs.Place, false, null, null, 0, ImmutableSortedDictionary<string, string>.Empty);
}
