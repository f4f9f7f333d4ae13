using TestRig.Core.Captures;

namespace TestRig.Bench.Adapters;

/// <summary>One run of a program on an adapter.</summary>
/// <param name="Elapsed">Host time from asking for the program's start to learning of its end, without loading it and without fetching its capture.</param>
public sealed record BurstRun(Capture Capture, TimeSpan Elapsed)
{
    /// <summary>What hardware stamped, when the program asked for it.</summary>
    public FineReading? Fine { get; init; }
}
