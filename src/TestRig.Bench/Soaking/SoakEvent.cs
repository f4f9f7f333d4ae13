using TestRig.Bench.Adapters;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Soaking;

/// <summary>Progress of a soak, for whoever shows it.</summary>
public abstract record SoakEvent;

/// <summary>The adapter is there, for the first time or again.</summary>
public sealed record AdapterFound(AdapterIdentity Adapter) : SoakEvent;

/// <summary>A cycle is done and durable.</summary>
/// <param name="Tally">Of the whole run so far.</param>
/// <param name="DiskBytes">That the run takes in the store.</param>
public sealed record CycleDone(CycleRecord Cycle, SoakTally Tally, long DiskBytes) : SoakEvent
{
    /// <summary>How the link fared since the adapter was opened; null where there is none that could be disturbed.</summary>
    public LinkHealth? Link { get; init; }
}

/// <summary>The adapter is gone; lines are idle by the adapter's own rules.</summary>
public sealed record AdapterGone(string Words) : SoakEvent;

/// <summary>The adapter is still gone.</summary>
/// <param name="Attempt">From 1.</param>
/// <param name="Next">Until it is looked for again.</param>
public sealed record AdapterAwaited(int Attempt, TimeSpan Next, string Words) : SoakEvent;

/// <summary>Nothing can be driven, for a supply or a level; it is looked at again after a pause.</summary>
public sealed record PausedFor(string Words, TimeSpan Pause) : SoakEvent;
