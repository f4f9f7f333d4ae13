namespace TestRig.Bench.Simulation;

/// <summary>Virtual time in picoseconds since the bench was switched on, and what is going to happen. Nothing in it waits.</summary>
internal sealed class EventQueue
{
    private readonly PriorityQueue<Action, (long At, long Order)> _events = new(Comparer<(long At, long Order)>.Create(
        static (one, other) => one.At != other.At ? one.At.CompareTo(other.At) : one.Order.CompareTo(other.Order)));

    private long _order;

    public long Now { get; private set; }

    /// <summary>When the next event is due; <see cref="long.MaxValue"/> when none is.</summary>
    public long NextAt { get; private set; } = long.MaxValue;

    /// <summary>Events of the same instant happen in the order in which they were planned.</summary>
    public void In(long delay, Action happens)
    {
        var at = Now + Math.Max(0, delay);
        _events.Enqueue(happens, (at, _order++));
        NextAt = Math.Min(NextAt, at);
    }

    /// <summary>Lets everything happen that is due up to and including <paramref name="instant"/>. An instant that has passed changes nothing.</summary>
    public void RunUntil(long instant)
    {
        while (NextAt <= instant)
        {
            Now = NextAt;
            var happens = _events.Dequeue();
            NextAt = _events.TryPeek(out _, out var next) ? next.At : long.MaxValue;
            happens();
        }
        Now = Math.Max(Now, instant);
    }
}
