namespace TestRig.Bench.Soaking;

/// <summary>How a soak, or its part in this process, came to its end.</summary>
/// <param name="Words">Why, for a technician; empty where all that was asked for was done.</param>
public sealed record SoakEnding(SoakOutcome Outcome, string Words);

public enum SoakOutcome
{
    /// <summary>All cycles, or all the time, that were asked for.</summary>
    Complete,

    /// <summary>As many failures as were to end it.</summary>
    EnoughFailures,

    /// <summary>By the operator; it can be resumed.</summary>
    Cancelled,

    /// <summary>A stop input, or motion where there should be none.</summary>
    StoppedForSafety,

    /// <summary>Another adapter came back, or none in a state to go on with; it can be resumed.</summary>
    AdapterFailed,

    /// <summary>The store takes no more, or is gone; it can be resumed.</summary>
    StoreFailed,

    /// <summary>Its disk budget is used up.</summary>
    DiskBudgetUsed,
}
