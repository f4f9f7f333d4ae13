namespace TestRig.Bench.Campaigns;

/// <summary>A sweep of a healthy board that did not find it working.</summary>
/// <param name="Seed">Of the bench.</param>
/// <param name="Words">What was found wrong first.</param>
public sealed record FalseAlarm(int Seed, string Words);
