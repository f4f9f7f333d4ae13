namespace TestRig.Core.Boards;

/// <summary>What the motion is expected to give back at one point.</summary>
/// <param name="AdapterPin">Null when no lead goes there.</param>
/// <param name="Expected">In words.</param>
public sealed record FeedbackExplanation(string Point, string? AdapterPin, string Expected, string Origin);
