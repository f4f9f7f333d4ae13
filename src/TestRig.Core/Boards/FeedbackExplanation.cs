namespace TestRig.Core.Boards;

/// <summary>What the motion is expected to give back at one point.</summary>
/// <param name="LeadEnd">Where its lead ends, as the profile writes it; null when no lead goes there.</param>
/// <param name="Expected">In words.</param>
public sealed record FeedbackExplanation(string Point, string? LeadEnd, string Expected, string Origin);
