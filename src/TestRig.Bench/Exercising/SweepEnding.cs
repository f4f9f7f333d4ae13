namespace TestRig.Bench.Exercising;

/// <summary>How a sweep came to its end.</summary>
/// <param name="Words">Why, for a technician; empty when it ran to its end.</param>
public sealed record SweepEnding(SweepOutcome Outcome, string Words)
{
    public static SweepEnding Complete { get; } = new(SweepOutcome.Complete, "");
}

public enum SweepOutcome
{
    Complete,

    /// <summary>Something had to be put right before anything could be driven: a supply, a level.</summary>
    NotReady,
    Cancelled,
    AdapterFailed,
    StoppedForSafety,
}
