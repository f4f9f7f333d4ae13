namespace TestRig.Tests.Soaking;

/// <summary>One process of the campaign, on the bench's clock.</summary>
/// <param name="From">Before it was started, and after what the process before it had sent was under way.</param>
/// <param name="Killed">When nothing of it ran any more; null when it came to its end by itself.</param>
/// <param name="Run">Null when it was killed before its run was in the store.</param>
/// <param name="Before">Cycles that the run had when it was started.</param>
/// <param name="After">Cycles that the run had then.</param>
/// <param name="AloneUntil">Until then no host was there; null when the next one was started at once.</param>
internal sealed record KillWindow(long From, long? Killed, string? Run, long Before, long After, long? AloneUntil)
{
    public long Cycles => After - Before;
}
