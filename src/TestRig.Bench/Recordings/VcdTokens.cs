using System.Buffers;

namespace TestRig.Bench.Recordings;

/// <summary>
/// The words of a dump, one after the other, with the line in which each begins: a dump is free-format, and white space only separates (IEEE 1364-2005 clause 18.2).
/// A word is bytes of one pooled buffer, good until the next one is asked for.
/// </summary>
internal sealed class VcdTokens(Stream stream, string file) : IDisposable
{
    private const int UsualRoom = 1 << 20;

    /// <summary>The longest word: a vector of sixteen million bits.</summary>
    private const int MostRoom = 1 << 24;

    private byte[] _buffer = ArrayPool<byte>.Shared.Rent(UsualRoom);
    private int _at;
    private int _end;
    private long _before;
    private bool _ended;

    /// <summary>Of the last word; at the end of the file, its last line.</summary>
    public long Line { get; private set; } = 1;

    /// <summary>Bytes read so far.</summary>
    public long Position => _before + _at;

    /// <summary>Empty at the end of the file.</summary>
    public ReadOnlySpan<byte> Next()
    {
        while (true)
        {
            while (_at < _end && IsBlank(_buffer[_at]))
            {
                if (_buffer[_at] == '\n')
                    Line++;
                _at++;
            }
            if (_at < _end)
                break;
            if (!Fill(_at))
                return default;
        }
        var start = _at;
        var next = start + 1;
        while (true)
        {
            while (next < _end && _buffer[next] > ' ')
                next++;
            if (next < _end)
                break;
            var length = next - start;
            var more = Fill(start);
            (start, next) = (_at, _at + length);
            if (!more)
                break;
        }
        _at = next;
        return _buffer.AsSpan(start, next - start);
    }

    public void Dispose()
    {
        if (_buffer.Length > 0)
            ArrayPool<byte>.Shared.Return(_buffer);
        _buffer = [];
    }

    /// <summary>Reads more behind what is kept. A control character that is no white space is part of a word, so that it is found to be wrong there.</summary>
    private static bool IsBlank(byte character) => character is (byte)' ' or (>= 9 and <= 13);

    /// <param name="from">What lies in front of it is done with.</param>
    private bool Fill(int from)
    {
        _before += from;
        _buffer.AsSpan(from, _end - from).CopyTo(_buffer);
        (_at, _end) = (0, _end - from);
        if (_ended)
            return false;
        if (_end == _buffer.Length)
        {
            if (_buffer.Length >= MostRoom)
                throw new RecordingException(file, Line, $"a word of more than {MostRoom} characters stands here: '{RecordingException.Shown(_buffer)}'", "no value is that long; is this a value change dump?");
            var larger = ArrayPool<byte>.Shared.Rent(_buffer.Length * 2);
            _buffer.CopyTo(larger, 0);
            ArrayPool<byte>.Shared.Return(_buffer);
            _buffer = larger;
        }
        int read;
        try
        {
            read = stream.Read(_buffer, _end, _buffer.Length - _end);
        }
        catch (IOException cause)
        {
            throw new RecordingException(file, Line, $"the file cannot be read any further: {cause.Message.TrimEnd('.')}", "copy it to a local disk", cause);
        }
        _end += read;
        _ended = read == 0;
        return !_ended;
    }
}
