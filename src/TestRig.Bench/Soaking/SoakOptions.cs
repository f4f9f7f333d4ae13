using TestRig.Bench.Exercising;

namespace TestRig.Bench.Soaking;

/// <summary>How long a soak goes on, what ends it early, and what it may keep.</summary>
/// <param name="For">Time from its first cycle to its end, pauses included; null where cycles are counted.</param>
/// <param name="Cycles">Cycles in the whole run; null where time counts.</param>
/// <param name="StopAfterFailures">Failing cycles after which it ends; null where it goes on whatever fails.</param>
public sealed record SoakOptions(SweepOptions Sweep, TimeSpan? For, long? Cycles, long? StopAfterFailures)
{
    /// <summary>Cycles just before a failing one whose captures are kept with it.</summary>
    public int Before { get; init; } = 3;

    /// <summary>Where nobody says another.</summary>
    public const long DefaultDiskBudget = 200_000_000;

    /// <summary>Bytes that the run may take in the store.</summary>
    public long DiskBudget { get; init; } = DefaultDiskBudget;

    /// <summary>Lines stay idle, and whatever changes is wrong.</summary>
    public bool WatchIdle { get; init; }
}
