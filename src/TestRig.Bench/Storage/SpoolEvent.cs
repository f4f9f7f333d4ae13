namespace TestRig.Bench.Storage;

/// <summary>Progress of a spool, for whoever shows it.</summary>
public abstract record SpoolEvent;

/// <summary>More of a run is in the shared store, and durable there.</summary>
/// <param name="Cycles">That the shared store has of it: cycles, or parts of a trial.</param>
public sealed record RunCopied(string Run, long Cycles) : SpoolEvent;

/// <summary>All of a run that has come to its end is in the shared store, and it was deleted from the local one.</summary>
public sealed record RunHandedOver(string Run) : SpoolEvent;

/// <summary>The shared store went away or is there again, cycles wait or do no longer, a run was refused.</summary>
public sealed record SpoolChanged(SpoolState State) : SpoolEvent;
