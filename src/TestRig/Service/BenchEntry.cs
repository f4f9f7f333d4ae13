using System.Collections.Immutable;

namespace TestRig.Service;

/// <summary>A bench, for other programs.</summary>
/// <param name="Adapter">How the adapter fares; <paramref name="AdapterName"/> tells which it is.</param>
internal sealed record BenchEntry(
    string Name, string? Board, AdapterStanding Adapter, string AdapterName, ArmingEntry? Armed, string? Problem, string? Notice, JobEntry? Running, ImmutableArray<JobEntry> Waiting, LiveSoak? Soak, LiveSweep? Sweep, LiveProbe? Probe)
{
    public static BenchEntry Of(BenchNow now) => new(
        now.Name, now.Board, now.Standing, now.Adapter, now.Armed is { } armed ? new(armed.By, armed.At, armed.Until, armed.AllowMotion) : null, now.Problem, now.Notice, now.Running is { } job ? JobEntry.Of(job) : null,
        [.. now.Waiting.Select(JobEntry.Of)], now.Soak, now.Sweep, now.Probe);
}

internal sealed record ArmingEntry(string By, DateTimeOffset At, DateTimeOffset Until, bool Motion);
