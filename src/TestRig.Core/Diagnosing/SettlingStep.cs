namespace TestRig.Core.Diagnosing;

/// <summary>One such thing.</summary>
/// <param name="At">The net, or the part.</param>
public sealed record SettlingStep(SettlingKind Kind, string At);
