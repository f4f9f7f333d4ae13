namespace TestRig.Bench.Campaigns;

/// <summary>Something that a campaign is to show.</summary>
/// <param name="Words">What is demanded, as a sentence.</param>
/// <param name="Share">What was reached, 0..1.</param>
/// <param name="Held">Whether that is enough.</param>
public sealed record Goal(string Words, double Share, bool Held);
