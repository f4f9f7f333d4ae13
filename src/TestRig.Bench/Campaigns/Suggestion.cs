namespace TestRig.Bench.Campaigns;

/// <summary>A measurement that the profile could add, and what it would tell.</summary>
/// <param name="Net">Where.</param>
/// <param name="ToldApart">Of the faults of the largest class, those that would no longer look as most of them do.</param>
/// <param name="Detected">Of the faults that nothing shows, those that would be detected.</param>
public sealed record Suggestion(AddedMeasurement Kind, string Net, int ToldApart, int Detected);

/// <summary>What is added.</summary>
public enum AddedMeasurement
{
    /// <summary>An input of the adapter that reads voltages, in place of one that sees levels only.</summary>
    Converter,

    /// <summary>A lead to an input that sees levels.</summary>
    Lead,

    /// <summary>A lead to an input that sees levels and reads voltages.</summary>
    LeadToConverter,
}
