namespace TestRig.Core.Judging;

/// <summary>In how many repeats a channel had this condition.</summary>
public sealed record RepeatOutcome(Condition Condition, int Times);
