using System.Collections.Immutable;

namespace TestRig.Bench.Exercising;

/// <summary>What a check of the leads found.</summary>
/// <param name="Leads">By test point; a line by the point where it is driven, a lead of a multiplexer itself by its end there, "M1.Z".</param>
/// <param name="Ending">Complete when every lead was looked at.</param>
public sealed record LeadCheckResult(ImmutableDictionary<string, LeadFound> Leads, ImmutableArray<CheckDone> Checks, SweepEnding Ending)
{
    /// <summary>What pulses on the lines told; null when nothing was commanded.</summary>
    public LeadsByPulses? Pulses { get; init; }

    /// <summary>At least one lead is open or is not where it should be, or a line is not answered as the profile has it.</summary>
    public bool AnyWrong => Leads.Values.Any(lead => lead.State is FoundState.Open or FoundState.Wrong) || Pulses is { Verdicts.IsEmpty: false };

    /// <summary>Something could not be told, or a check was not good.</summary>
    public bool Incomplete => Ending.Outcome != SweepOutcome.Complete
        || Leads.Values.Any(lead => lead.State is FoundState.NotTold or FoundState.NotChecked)
        || Checks.Any(check => !check.Good);
}

/// <param name="Words">What was read, and what it tells.</param>
public sealed record LeadFound(FoundState State, string Words);

public enum FoundState
{
    /// <summary>The board drives it, at the level that it should have where the profile tells.</summary>
    Whole,

    /// <summary>Nothing drives the pin: the lead is open, or its net is undriven.</summary>
    Open,

    /// <summary>It is not as it should be: another point, a fault of the board, or behind a divider an open lead.</summary>
    Wrong,

    /// <summary>It reads as it should, and an open lead would read the same.</summary>
    NotTold,

    /// <summary>Not looked at: the check ended before.</summary>
    NotChecked,
}
