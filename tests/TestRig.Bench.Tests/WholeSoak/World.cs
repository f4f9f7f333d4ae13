using System.Globalization;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>
/// Everything there is in one virtual time on one thread: processes, wires, devices, boards. What can be done now is done in the order in which it was asked for; only when nothing is left does the
/// clock go on, to whatever is next. So one seed gives one history.
/// </summary>
internal sealed class World(Trace trace)
{
    /// <summary>More of these without the clock going on, and something spins.</summary>
    private const int MostAtOneInstant = 200_000;

    private readonly int _thread = Environment.CurrentManagedThreadId;
    private readonly Queue<(HostProcess? Owner, Action Work)> _ready = [];
    private readonly PriorityQueue<Planned, (long At, long Order)> _planned = new();
    private long _order;
    private int _sinceClock;

    /// <summary>What escaped to another thread, and would come back at an instant that no seed decides.</summary>
    private volatile string? _escaped;

    /// <summary>In picoseconds.</summary>
    public long Now { get; private set; }

    public Trace Trace => trace;

    public static long Picoseconds(TimeSpan span) => span.Ticks * 100_000;

    /// <summary>Does it now, behind what is to be done now already.</summary>
    /// <param name="owner">Whose it is: a process that is killed until then does it no more. Null for what is no process.</param>
    public void Soon(HostProcess? owner, Action work)
    {
        if (Environment.CurrentManagedThreadId != _thread)
        {
            _escaped = Environment.StackTrace;
            return;
        }
        _ready.Enqueue((owner, work));
    }

    /// <summary>Does it at an instant, not before what is to be done now.</summary>
    public Planned At(long instant, HostProcess? owner, Action work)
    {
        var planned = new Planned(owner, work);
        _planned.Enqueue(planned, (Math.Max(instant, Now), _order++));
        return planned;
    }

    public Planned In(TimeSpan delay, HostProcess? owner, Action work) => At(Now + Picoseconds(delay), owner, work);

    /// <summary>Lets the world go on until something is so.</summary>
    /// <param name="latest">It has to be so until then, in picoseconds.</param>
    /// <exception cref="BrokenInvariantException">It never is: the world stands still, spins, or goes on for too long.</exception>
    public void RunUntil(Func<bool> isSo, long latest)
    {
        while (!isSo())
        {
            if (_escaped is { } stack)
                throw new BrokenInvariantException($"something went on in another thread: {stack}");
            if (_ready.TryDequeue(out var ready))
                Do(ready.Owner, ready.Work);
            else
                GoOn(latest);
            if (++_sinceClock > MostAtOneInstant)
                throw new BrokenInvariantException("something spins: time does not go on");
        }
    }

    private void GoOn(long latest)
    {
        if (!_planned.TryDequeue(out var next, out var key))
            throw new BrokenInvariantException("nothing is ever going to happen again");
        if (next.IsOff)
            return;
        if (key.At > latest)
            throw new BrokenInvariantException("it went on and on, and never came to its end");
        if (key.At > Now)
            _sinceClock = 0;
        Now = key.At;
        Do(next.Owner, next.Work);
    }

    private static void Do(HostProcess? owner, Action work)
    {
        if (owner is { IsAlive: false })
            return;
        var before = SynchronizationContext.Current;
        SynchronizationContext.SetSynchronizationContext(owner?.Context);
        try
        {
            work();
        }
        finally
        {
            SynchronizationContext.SetSynchronizationContext(before);
        }
    }

    public void Tell(string what) => trace.Add(string.Create(CultureInfo.InvariantCulture, $"{Now / 1_000_000} us {what}"));

    /// <summary>Something that is to be done at an instant, unless it is called off.</summary>
    internal sealed class Planned(HostProcess? owner, Action work)
    {
        public HostProcess? Owner => owner;

        public Action Work => work;

        public bool IsOff { get; private set; }

        public void CallOff() => IsOff = true;
    }
}
