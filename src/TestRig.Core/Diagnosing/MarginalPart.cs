namespace TestRig.Core.Diagnosing;

/// <summary>A part that works, and whose measured margin is small.</summary>
/// <param name="Words">What was measured, and the limit that it is near to.</param>
public sealed record MarginalPart(string Part, string Type, string Words);
