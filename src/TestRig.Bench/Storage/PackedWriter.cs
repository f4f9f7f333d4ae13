using System.Text;

namespace TestRig.Bench.Storage;

/// <summary>Writes numbers and names in as few bytes as they need: whole numbers as zig-zag LEB128, a name once.</summary>
internal sealed class PackedWriter : IDisposable
{
    private readonly MemoryStream _stream = new();
    private readonly BinaryWriter _writer;
    private readonly Dictionary<string, int> _names = new(StringComparer.Ordinal);

    public PackedWriter() => _writer = new(_stream, Encoding.UTF8);

    /// <summary>At least 0.</summary>
    public void Count(int count) => _writer.Write7BitEncodedInt(count);

    public void Whole(long value) => _writer.Write7BitEncodedInt64(unchecked((value << 1) ^ (value >> 63)));

    public void Real(double value) => _writer.Write(value);

    public void Bits(uint value) => _writer.Write(value);

    public void Flag(bool value) => _writer.Write(value);

    /// <summary>A name is written out where it comes first, and by its number from then on.</summary>
    public void Name(string name)
    {
        if (_names.TryGetValue(name, out var number))
        {
            Count(number);
            return;
        }
        Count(_names.Count);
        _writer.Write(name);
        _names.Add(name, _names.Count);
    }

    /// <summary>By its name, so that what was written outlives another order of the values.</summary>
    public void Word<T>(T value)
        where T : struct, Enum => Name(value.ToString());

    public byte[] ToArray()
    {
        _writer.Flush();
        return _stream.ToArray();
    }

    public void Dispose() => _writer.Dispose();
}
