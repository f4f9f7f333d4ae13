namespace TestRig.Bench.Simulation;

/// <summary>Virtual time in picoseconds since the bench was switched on, and what is going to happen. Nothing in it waits.</summary>
internal sealed class EventQueue
{
    private readonly PriorityQueue<Action, (long At, long Order)> _events = new();
    private long _order;

    public long Now { get; private set; }

    /// <summary>When the next event is due; <see cref="long.MaxValue"/> when none is.</summary>
    public long NextAt => _events.TryPeek(out _, out var key) ? key.At : long.MaxValue;

    /// <summary>Events of the same instant happen in the order in which they were planned.</summary>
    public void In(long delay, Action happens) => _events.Enqueue(happens, (Now + Math.Max(0, delay), _order++));

    /// <summary>Lets everything happen that is due up to and including <paramref name="instant"/>. An instant that has passed changes nothing.</summary>
    public void RunUntil(long instant)
    {
        while (_events.TryPeek(out var happens, out var key) && key.At <= instant)
        {
            _events.Dequeue();
            Now = key.At;
            happens();
        }
        Now = Math.Max(Now, instant);
    }
}
