namespace TestRig.Bench.Exercising;

/// <summary>How a sweep came to its end.</summary>
/// <param name="Words">Why, for a technician; empty when it ran to its end.</param>
public sealed record SweepEnding(SweepOutcome Outcome, string Words)
{
    public static SweepEnding Complete { get; } = new(SweepOutcome.Complete, "");

    /// <param name="stop">The stop input that ended it.</param>
    public static SweepEnding StoppedBy(string? stop) => new(SweepOutcome.StoppedForSafety, $"Stop input {stop} became active. All lines are idle. Find out why before going on.");
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
