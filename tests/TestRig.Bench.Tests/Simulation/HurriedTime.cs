namespace TestRig.Bench.Tests.Simulation;

/// <summary>Time in which nobody has to wait: what somebody wants to wait is added up, and over at once.</summary>
internal sealed class HurriedTime : TimeProvider
{
    private readonly List<TimeSpan> _waits = [];

    /// <summary>In the order in which they were wanted.</summary>
    public IReadOnlyList<TimeSpan> Waits => _waits;

    public TimeSpan Waited => _waits.Aggregate(TimeSpan.Zero, (sum, wait) => sum + wait);

    public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
    {
        if (dueTime != Timeout.InfiniteTimeSpan)
            _waits.Add(dueTime);
        return System.CreateTimer(callback, state, TimeSpan.Zero, period);
    }
}
