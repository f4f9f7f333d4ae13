namespace TestRig.Bench.Adapters.Serial;

/// <summary>Who is told what comes from a port.</summary>
internal interface ILinkReceiver
{
    void Receive(ReadOnlySpan<byte> bytes);

    /// <summary>The other end is gone; nothing more comes.</summary>
    void Lose(Exception cause);
}
