namespace TestRig.Core.Learning;

/// <summary>A window that stays as it is.</summary>
/// <param name="What">"OK1.5 falls".</param>
/// <param name="Reason">Why nothing is proposed, as a part of a sentence.</param>
public sealed record NotLearned(string What, string Reason);
