namespace TestRig.Bench.Campaigns;

/// <summary>How far a campaign has come, for whoever shows it.</summary>
/// <param name="Doing">What is counted, in words: "single faults".</param>
public sealed record CampaignStep(string Doing, int Done, int Of);
