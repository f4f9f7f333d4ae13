using System.Collections.Immutable;
using TestRig.Bench.Serving;

namespace TestRig.Service;

/// <summary>A bench as it is.</summary>
/// <param name="Board">Of its profile; null while that has errors.</param>
/// <param name="Adapter">What it is called and how it fares, for people.</param>
/// <param name="Armed">Null where it is not.</param>
/// <param name="Problem">What keeps it from doing anything; null where nothing does.</param>
/// <param name="Running">Null where it does nothing.</param>
/// <param name="Notice">What the job waits for, or was told; null where nothing is to be said.</param>
public sealed record BenchNow(
    string Name, string? Board, AdapterStanding Standing, string Adapter, Arming? Armed, string? Problem, Job? Running, string? Notice, LiveSoak? Soak, LiveSweep? Sweep, ImmutableArray<Job> Waiting)
{
    /// <summary>Null where nobody probes.</summary>
    public LiveProbe? Probe { get; init; }

    /// <summary>Counts up with every change.</summary>
    public long Version { get; init; }
}
