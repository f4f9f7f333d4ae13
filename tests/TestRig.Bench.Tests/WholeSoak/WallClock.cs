namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>What the computer takes for the time of day: somebody may set it, forward or back.</summary>
internal sealed class WallClock
{
    public TimeSpan Offset { get; set; }
}
