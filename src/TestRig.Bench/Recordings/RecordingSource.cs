using System.Globalization;
using System.IO.Compression;

namespace TestRig.Bench.Recordings;

/// <summary>
/// A recording's bytes as they stream by, from a file or a pipe, never read twice. What is compressed with gzip (RFC 1952) is unpacked: told by its first bytes and not by its name. The start can be looked at before it is read.
/// </summary>
internal sealed class RecordingSource : Stream
{
    /// <summary>So much of the start can be looked at.</summary>
    private const int Looked = 1 << 16;

    /// <summary>The first bytes of every member of a gzip file (RFC 1952, 2.3.1).</summary>
    private const byte GzipFirst = 0x1f, GzipSecond = 0x8b;

    private readonly string _file;
    private readonly Counted _packed;
    private readonly GZipStream? _gzip;
    private readonly byte[] _start = new byte[Looked];
    private readonly int _startLength;
    private int _startRead;
    private long _unpacked;

    /// <param name="stream">Stays the caller's.</param>
    /// <param name="file">Its name, for messages.</param>
    /// <exception cref="RecordingException">Its beginning cannot be read.</exception>
    public RecordingSource(Stream stream, string file)
    {
        _file = file;
        _packed = new(stream);
        _startLength = Guarded(() => _packed.ReadAtLeast(_start, 2, throwOnEndOfStream: false));
        if (_startLength >= 2 && _start[0] == GzipFirst && _start[1] == GzipSecond)
        {
            _gzip = new(new Joined(_start.AsMemory(0, _startLength).ToArray(), _packed), CompressionMode.Decompress);
            _startLength = 0;
        }
        _startLength += Guarded(() => Inner.ReadAtLeast(_start.AsSpan(_startLength), Looked - _startLength, throwOnEndOfStream: false));
        _unpacked = _startLength;
    }

    /// <summary>Bytes that were read of the file, packed where it is.</summary>
    public long BytesRead => _packed.Count;

    public bool IsPacked => _gzip is not null;

    /// <summary>The first bytes, as many as there are up to 64 Ki, whatever was read of them.</summary>
    public ReadOnlySpan<byte> Start => _start.AsSpan(0, _startLength);

    public override bool CanRead => true;

    public override bool CanSeek => false;

    public override bool CanWrite => false;

    public override long Length => throw new NotSupportedException();

    public override long Position { get => throw new NotSupportedException(); set => throw new NotSupportedException(); }

    private Stream Inner => _gzip is null ? _packed : _gzip;

    /// <exception cref="RecordingException">The rest cannot be read, or what is packed is damaged or cut off.</exception>
    public override int Read(byte[] buffer, int offset, int count)
    {
        if (_startRead < _startLength)
        {
            var some = Math.Min(count, _startLength - _startRead);
            _start.AsSpan(_startRead, some).CopyTo(buffer.AsSpan(offset));
            _startRead += some;
            return some;
        }
        var read = Guarded(() => Inner.Read(buffer, offset, count));
        _unpacked += read;
        return read;
    }

    public override void Flush()
    {
    }

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    public override void SetLength(long value) => throw new NotSupportedException();

    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();

    protected override void Dispose(bool disposing)
    {
        if (disposing)
            _gzip?.Dispose();
        base.Dispose(disposing);
    }

    private int Guarded(Func<int> read)
    {
        try
        {
            return read();
        }
        catch (InvalidDataException cause)
        {
            throw new RecordingException(
                _file, 0, string.Create(CultureInfo.InvariantCulture, $"its gzip data are {(_packed.Ended ? "cut off" : "damaged")} within the first {_packed.Count} bytes, behind {_unpacked} unpacked ones"),
                "copy it again, or unpack what can be had of it ('gzip -dc') and end that behind the last whole value", cause);
        }
        catch (Exception cause) when (cause is IOException or UnauthorizedAccessException)
        {
            throw new RecordingException(_file, 0, $"it cannot be read behind byte {_packed.Count.ToString(CultureInfo.InvariantCulture)}: {cause.Message.TrimEnd('.')}", "copy it to a local disk", cause);
        }
    }

    /// <summary>Reads through, and counts.</summary>
    private class Through(Stream inner) : Stream
    {
        public override bool CanRead => true;

        public override bool CanSeek => false;

        public override bool CanWrite => false;

        public override long Length => throw new NotSupportedException();

        public override long Position { get => throw new NotSupportedException(); set => throw new NotSupportedException(); }

        public override int Read(byte[] buffer, int offset, int count) => inner.Read(buffer, offset, count);

        public override void Flush()
        {
        }

        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        public override void SetLength(long value) => throw new NotSupportedException();

        public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
    }

    private sealed class Counted(Stream inner) : Through(inner)
    {
        public long Count { get; private set; }

        public bool Ended { get; private set; }

        public override int Read(byte[] buffer, int offset, int count)
        {
            var read = base.Read(buffer, offset, count);
            Count += read;
            Ended |= read == 0 && count > 0;
            return read;
        }
    }

    /// <summary>What was read already, and then the rest.</summary>
    private sealed class Joined(byte[] first, Stream rest) : Through(rest)
    {
        private int _at;

        public override int Read(byte[] buffer, int offset, int count)
        {
            if (_at == first.Length)
                return base.Read(buffer, offset, count);
            var some = Math.Min(count, first.Length - _at);
            first.AsSpan(_at, some).CopyTo(buffer.AsSpan(offset));
            _at += some;
            return some;
        }
    }
}
