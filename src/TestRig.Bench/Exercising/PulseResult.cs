using TestRig.Bench.Adapters;

namespace TestRig.Bench.Exercising;

/// <summary>A pulse is over.</summary>
/// <param name="Number">1-based.</param>
/// <param name="Late">True when the one before, with loading and fetching, took longer than the time between pulses.</param>
public sealed record PulseDone(int Number, bool Late) : SweepEvent;

/// <summary>What a train of pulses came to.</summary>
/// <param name="Pulses">Pulses that were given whole, or up to a stop input.</param>
/// <param name="Late">How many of them came later than they were due.</param>
public sealed record PulseResult(int Pulses, int Late, SweepEnding Ending)
{
    /// <summary>How the link to the adapter fared; null where there is none that could be disturbed.</summary>
    public LinkHealth? Link { get; init; }
}
