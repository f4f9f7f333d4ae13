namespace TestRig.Core.Captures;

/// <summary>How an exercise came to its end. Lines are idle after each.</summary>
/// <param name="StoppedBy">The stop input that ended it, by test-point name like a signal; null otherwise.</param>
public sealed record CaptureEnding(CaptureOutcome Outcome, string? StoppedBy);

public enum CaptureOutcome
{
    Complete,

    /// <summary>A stop input ended it in the device.</summary>
    StopInput,

    /// <summary>The host, or noise on the link, ended it.</summary>
    HostByte,
}
