namespace TestRig.Bench.Tests.Storage;

/// <summary>A clock of which all waits pass a hundred times as fast as they would.</summary>
internal sealed class HurriedTime : TimeProvider
{
    private const int Times = 100;

    public override long TimestampFrequency => System.TimestampFrequency / Times;

    public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period) => System.CreateTimer(callback, state, Hurried(dueTime), Hurried(period));

    private static TimeSpan Hurried(TimeSpan span) => span == Timeout.InfiniteTimeSpan ? span : span / Times;
}
