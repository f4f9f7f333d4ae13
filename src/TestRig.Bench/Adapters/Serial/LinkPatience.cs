namespace TestRig.Bench.Adapters.Serial;

/// <summary>How long the host waits for the adapter, and how often it repeats.</summary>
/// <param name="Identify">All in all, from opening the port: a board that resets on opening spends about 2 s in its boot loader.</param>
/// <param name="FirstReply">For the first reply to a request; doubled with each repeat. The device answers within 50 ms.</param>
/// <param name="Attempts">Times that a request is sent.</param>
/// <param name="EndMargin">After the planned end of a burst, for its end to be told.</param>
/// <param name="SlowFactor">An emulated device may run slower than real time by this factor.</param>
/// <param name="SlowAllowance">Added to the planned length times <paramref name="SlowFactor"/>.</param>
/// <param name="StopReply">After a burst was told to stop, for its end to be told.</param>
internal sealed record LinkPatience(
    TimeSpan Identify, TimeSpan FirstReply, int Attempts, TimeSpan EndMargin, int SlowFactor, TimeSpan SlowAllowance, TimeSpan StopReply)
{
    public static LinkPatience Default { get; } = new(
        Identify: TimeSpan.FromSeconds(5),
        FirstReply: TimeSpan.FromMilliseconds(200),
        Attempts: 4,
        EndMargin: TimeSpan.FromMilliseconds(250),
        SlowFactor: 4,
        SlowAllowance: TimeSpan.FromSeconds(5),
        StopReply: TimeSpan.FromSeconds(1));

    /// <summary>All repeats of one request together.</summary>
    public TimeSpan AllReplies => FirstReply * ((1 << Attempts) - 1);
}
