namespace TestRig.Bench.Campaigns;

/// <summary>A measurement that the profile could add, and what it would tell.</summary>
/// <param name="Net">Where.</param>
/// <param name="ToldApart">Of the faults of the largest class, those that would no longer look as most of them do.</param>
/// <param name="Detected">Of the faults that nothing shows, those that would be detected.</param>
public sealed record Suggestion(AddedMeasurement Kind, string Net, int ToldApart, int Detected);
