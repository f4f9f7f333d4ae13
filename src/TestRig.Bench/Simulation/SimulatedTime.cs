namespace TestRig.Bench.Simulation;

/// <summary>The time of a simulated bench: it passes while the bench works, and at once where somebody waits for it.</summary>
/// <param name="start">When the bench was switched on.</param>
public sealed class SimulatedTime(SimulatedAdapter adapter, DateTimeOffset start) : TimeProvider
{
    /// <summary>Of the computer's time; a bench counts picoseconds.</summary>
    internal const long PicosecondsOfTick = 1_000_000_000_000 / TimeSpan.TicksPerSecond;

    public override long TimestampFrequency => TimeSpan.TicksPerSecond;

    public override TimeZoneInfo LocalTimeZone => TimeZoneInfo.CreateCustomTimeZone("bench", start.Offset, "bench", "bench");

    public override DateTimeOffset GetUtcNow() => (start + TimeSpan.FromTicks(GetTimestamp())).ToUniversalTime();

    public override long GetTimestamp() => adapter.Time.Now / PicosecondsOfTick;

    /// <remarks>What is to happen once, happens at once; what is to happen again and again never does, since nobody waits for it.</remarks>
    public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
    {
        if (dueTime >= TimeSpan.Zero)
        {
            adapter.Time.RunUntil(adapter.Time.Now + (dueTime.Ticks * PicosecondsOfTick));
            ThreadPool.QueueUserWorkItem(_ => callback(state));
        }
        return new Done();
    }

    private sealed class Done : ITimer
    {
        public bool Change(TimeSpan dueTime, TimeSpan period) => false;

        public void Dispose()
        {
        }

        public ValueTask DisposeAsync() => ValueTask.CompletedTask;
    }
}
