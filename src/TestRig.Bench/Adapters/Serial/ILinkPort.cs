namespace TestRig.Bench.Adapters.Serial;

/// <summary>
/// The bytes to and from an adapter. Writes do not overlap. Any exception of <see cref="Write"/> but those of a bug means that the other end is gone.
/// Disposing may be done from any thread but the one that tells the receiver, and does not hang; the receiver is told nothing after it.
/// </summary>
internal interface ILinkPort : IDisposable
{
    /// <summary>The port's name, for people.</summary>
    string Name { get; }

    /// <summary>From now on what comes is told to the receiver, one thing after the other, from whatever thread the port has for that. Once.</summary>
    void Start(ILinkReceiver receiver);

    /// <summary>Returns when all bytes are handed on, or throws when that takes longer than about a second.</summary>
    void Write(ReadOnlySpan<byte> bytes);
}
