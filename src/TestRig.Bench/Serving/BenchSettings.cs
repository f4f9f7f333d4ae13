using System.Collections.Immutable;

namespace TestRig.Bench.Serving;

/// <summary>A bench that a service works: one adapter, and the board that usually hangs from it.</summary>
/// <param name="Adapter">As --adapter names it; null of a simulated bench.</param>
/// <param name="Simulated">Null of a real one.</param>
/// <param name="Profile">Path of the profile.</param>
/// <param name="Motion">Whether its machine may be moved from afar at all, once it is armed for that.</param>
/// <param name="DiskBudget">Bytes that each soak may take in the store.</param>
public sealed record BenchSettings(
    string Name, string? Adapter, SimulatedSettings? Simulated, string Profile, bool Motion, long DiskBudget, ImmutableArray<ScheduledSoak> Schedule);

/// <summary>A bench that does not exist.</summary>
/// <param name="Faults">As --fault takes them.</param>
/// <param name="Speed">How much faster than a real one it works.</param>
public sealed record SimulatedSettings(ImmutableArray<string> Faults, int Seed, int Speed);

/// <summary>A soak that begins every day, if the bench is armed then.</summary>
/// <param name="For">Null where cycles count.</param>
/// <param name="Cycles">Null where time counts.</param>
public sealed record ScheduledSoak(DailyTime At, TimeSpan? For, long? Cycles)
{
    public bool Motion { get; init; }
}
