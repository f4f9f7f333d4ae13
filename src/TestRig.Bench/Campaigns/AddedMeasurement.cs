namespace TestRig.Bench.Campaigns;

/// <summary>What a profile could measure and does not.</summary>
public enum AddedMeasurement
{
    /// <summary>An input of the adapter that reads voltages, in place of one that sees levels only.</summary>
    Converter,

    /// <summary>A lead to an input that sees levels.</summary>
    Lead,

    /// <summary>A lead to an input that sees levels and reads voltages.</summary>
    LeadToConverter,
}
