using TestRig.Bench.Adapters.Serial;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>A serial port as a stream: a read waits until there is something, or until the stream is closed, when it returns nothing.</summary>
internal sealed class LinkStream(SerialLinkPort port) : Stream
{
    /// <summary>A reader that does not heed the end of a stream must not take a whole core for it.</summary>
    private static readonly TimeSpan _endPause = TimeSpan.FromMilliseconds(5);

    private readonly Lock _writing = new();
    private volatile Exception? _lost;
    private volatile bool _closed;

    public override bool CanRead => true;

    public override bool CanSeek => false;

    public override bool CanWrite => true;

    public override long Length => throw new NotSupportedException("A serial port has no length.");

    public override long Position
    {
        get => throw new NotSupportedException("A serial port has no position.");
        set => throw new NotSupportedException("A serial port has no position.");
    }

    public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

    public override int Read(Span<byte> buffer)
    {
        var received = new byte[buffer.Length];
        while (!_closed && _lost is null)
        {
            int count;
            try
            {
                count = port.Read(received);
            }
            catch (Exception cause)
            {
                // By the port's contract the other end is gone; the next write tells it to whoever uses the board.
                _lost = cause;
                break;
            }
            if (count > 0)
            {
                received.AsSpan(0, count).CopyTo(buffer);
                return count;
            }
        }
        Thread.Sleep(_endPause);
        return 0;
    }

    public override void Write(byte[] buffer, int offset, int count) => Write(buffer.AsSpan(offset, count));

    /// <exception cref="IOException">The stream is closed, or the other end is gone.</exception>
    public override void Write(ReadOnlySpan<byte> buffer)
    {
        if (_closed)
            throw new IOException($"{port.Name} is closed.");
        if (_lost is { } lost)
            throw new IOException($"the board on {port.Name} is gone ({lost.Message.TrimEnd('.')}).", lost);
        lock (_writing)
            port.Write(buffer);
    }

    public override void Flush()
    {
    }

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException("A serial port cannot seek.");

    public override void SetLength(long value) => throw new NotSupportedException("A serial port has no length.");

    protected override void Dispose(bool disposing)
    {
        if (disposing && !_closed)
        {
            _closed = true;
            port.Dispose();
        }
        base.Dispose(disposing);
    }
}
