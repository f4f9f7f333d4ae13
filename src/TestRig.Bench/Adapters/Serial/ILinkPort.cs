namespace TestRig.Bench.Adapters.Serial;

/// <summary>
/// The bytes to and from an adapter. One thread reads, and writes do not overlap. Any exception but those of a bug means that the other end is gone.
/// Disposing may be done from any thread, ends a pending read, and does not hang.
/// </summary>
internal interface ILinkPort : IDisposable
{
    /// <summary>The port's name, for people.</summary>
    string Name { get; }

    /// <summary>Waits a short while (about 100 ms) for bytes.</summary>
    /// <returns>The number of bytes read; 0 when none came in that time.</returns>
    int Read(byte[] buffer);

    /// <summary>Returns when all bytes are handed on, or throws when that takes longer than about a second.</summary>
    void Write(ReadOnlySpan<byte> bytes);
}
