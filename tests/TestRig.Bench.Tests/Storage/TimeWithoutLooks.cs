namespace TestRig.Bench.Tests.Storage;

/// <summary>A clock on which waits of more than 15 s do not end: what a spool does by it, it does not owe to its looking at everything now and then.</summary>
internal sealed class TimeWithoutLooks : TimeProvider
{
    private static readonly TimeSpan _longest = TimeSpan.FromSeconds(15);

    public override long GetTimestamp() => 0;

    public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period) =>
        System.CreateTimer(callback, state, dueTime > _longest ? Timeout.InfiniteTimeSpan : dueTime, period);
}
