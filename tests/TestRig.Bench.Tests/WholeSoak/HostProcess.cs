namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>One process of the program: its awaits and timers. Killed, nothing of it happens any more, whatever it was about to do.</summary>
internal sealed class HostProcess
{
    private static readonly DateTimeOffset _epoch = new(2026, 3, 12, 18, 0, 0, TimeSpan.Zero);

    private readonly World _world;
    private readonly WallClock _wall;
    private readonly ProcessTime _time;

    public HostProcess(World world, WallClock wall)
    {
        (_world, _wall) = (world, wall);
        Context = new ProcessContext(this);
        _time = new(this);
    }

    public SynchronizationContext Context { get; }

    public TimeProvider Time => _time;

    public bool IsAlive { get; private set; } = true;

    /// <summary>Runs it until its first await at least; what it ends with is in the task.</summary>
    public void Start(Func<Task> main, Action<Task> ended) => _world.Soon(this, () => _ = RunAsync(main, ended));

    public void Soon(Action work) => _world.Soon(this, work);

    public void Kill()
    {
        _world.Tell("the process is killed");
        IsAlive = false;
    }

    private static async Task RunAsync(Func<Task> main, Action<Task> ended)
    {
        var running = main();
        await Task.WhenAny(running);
        ended(running);
    }

    private sealed class ProcessContext(HostProcess process) : SynchronizationContext
    {
        public override void Post(SendOrPostCallback d, object? state) => process.Soon(() => d(state));

        public override void Send(SendOrPostCallback d, object? state) => throw new NotSupportedException("Nothing here may wait for another thread.");

        public override SynchronizationContext CreateCopy() => this;
    }

    private sealed class ProcessTime(HostProcess process) : TimeProvider
    {
        public override long TimestampFrequency => TimeSpan.TicksPerSecond;

        public override TimeZoneInfo LocalTimeZone => TimeZoneInfo.Utc;

        public override long GetTimestamp() => process._world.Now / World.Picoseconds(TimeSpan.FromTicks(1));

        public override DateTimeOffset GetUtcNow() => _epoch + TimeSpan.FromTicks(GetTimestamp()) + process._wall.Offset;

        public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
        {
            var timer = new ProcessTimer(process, callback, state);
            timer.Change(dueTime, period);
            return timer;
        }
    }

    private sealed class ProcessTimer(HostProcess process, TimerCallback callback, object? state) : ITimer
    {
        private World.Planned? _planned;

        public bool Change(TimeSpan dueTime, TimeSpan period)
        {
            if (period != Timeout.InfiniteTimeSpan && period != TimeSpan.Zero)
                throw new NotSupportedException("Nothing here happens again and again by a timer.");
            _planned?.CallOff();
            _planned = dueTime < TimeSpan.Zero ? null : process._world.In(dueTime, process, () => callback(state));
            return true;
        }

        public void Dispose() => _planned?.CallOff();

        public ValueTask DisposeAsync()
        {
            Dispose();
            return ValueTask.CompletedTask;
        }
    }
}
