namespace TestRig.Bench.Adapters.Serial;

/// <summary>A thread that reads from where reading blocks, and tells a receiver what comes.</summary>
/// <param name="read">Waits a short while (about 100 ms) for bytes, and returns how many came. Any exception means that the other end is gone.</param>
internal sealed class ReadingThread(string name, Func<byte[], int> read, ILinkReceiver receiver)
{
    private static readonly TimeSpan EndLimit = TimeSpan.FromSeconds(2);

    private Thread? reading;
    private volatile bool ending;

    public void Start()
    {
        reading = new Thread(ReadUntilEnded) { IsBackground = true, Name = "reading " + name };
        reading.Start();
    }

    /// <summary>From now on the receiver is told nothing.</summary>
    public void BeginEnd() => ending = true;

    /// <summary>Waits a while for the thread's end. What it reads from is closed.</summary>
    public void AwaitEnd() => reading?.Join(EndLimit);

    private void ReadUntilEnded()
    {
        var buffer = new byte[4096];
        while (!ending)
        {
            int count;
            try
            {
                count = read(buffer);
            }
            catch (Exception cause)
            {
                // A vanished port shows itself by exceptions of many types; while ending it is our own doing.
                if (!ending)
                    receiver.Lose(cause);
                return;
            }
            if (!ending)
                receiver.Receive(buffer.AsSpan(0, count));
        }
    }
}
