namespace TestRig.Bench.Adapters.Gpio;

/// <summary>The clock that times looks and steps, and the waiting on it. In picoseconds from an arbitrary start; it never goes back.</summary>
internal interface IHostClock
{
    long Now { get; }

    /// <summary>Of the clock, in picoseconds.</summary>
    long Tick { get; }

    /// <summary>Returns at that instant, or as soon behind it as the system lets; at once when it is past.</summary>
    void WaitUntil(long instant);
}
