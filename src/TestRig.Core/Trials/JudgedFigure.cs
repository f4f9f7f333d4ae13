namespace TestRig.Core.Trials;

/// <summary>One figure of one part against its limit.</summary>
/// <param name="Value">Null where it could not be measured.</param>
/// <param name="Limit">Null where the type has none.</param>
/// <param name="Because">Why the verdict is not the comparison's alone; null where it is.</param>
public sealed record JudgedFigure(TrialFigure Figure, Estimate? Value, TrialLimit? Limit, TrialVerdict Verdict, string? Because);
