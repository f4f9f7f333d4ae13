using System.Collections.Immutable;
using System.Text;

namespace TestRig.Bench.Storage;

/// <summary>
/// Reads what <see cref="PackedWriter"/> wrote. Whatever cannot have been written by it ends in an <see cref="IOException"/>, <see cref="FormatException"/>, <see cref="InvalidDataException"/> or
/// <see cref="OverflowException"/>.
/// </summary>
internal sealed class PackedReader(byte[] bytes) : IDisposable
{
    private readonly BinaryReader _reader = new(new MemoryStream(bytes, writable: false), Encoding.UTF8);
    private readonly List<string> _names = [];

    /// <summary>Of the form in which it was written, for what differs between forms.</summary>
    public byte Version { get; init; }

    public bool AtEnd => Left == 0;

    private long Left => _reader.BaseStream.Length - _reader.BaseStream.Position;

    public int Count()
    {
        var count = _reader.Read7BitEncodedInt();
        return count >= 0 ? count : throw new InvalidDataException("a count is negative");
    }

    public long Whole()
    {
        var folded = _reader.Read7BitEncodedInt64();
        return unchecked((long)((ulong)folded >> 1) ^ -(folded & 1));
    }

    public double Real() => _reader.ReadDouble();

    public uint Bits() => _reader.ReadUInt32();

    public bool Flag() => _reader.ReadBoolean();

    public string Name()
    {
        var number = Count();
        if (number > _names.Count)
            throw new InvalidDataException("a name is missing");
        if (number == _names.Count)
            _names.Add(_reader.ReadString());
        return _names[number];
    }

    public T Word<T>()
        where T : struct, Enum => StoredWord.Read<T>(Name());

    /// <summary>A count, and as many of what <paramref name="read"/> reads.</summary>
    public ImmutableArray<T> Many<T>(Func<T> read)
    {
        var count = Count();
        // Each takes a byte at least, so that garbled bytes cannot ask for more memory than they are.
        if (count > Left)
            throw new InvalidDataException("more is announced than there is");
        var all = ImmutableArray.CreateBuilder<T>(count);
        for (var i = 0; i < count; i++)
            all.Add(read());
        return all.MoveToImmutable();
    }

    public void Dispose() => _reader.Dispose();
}
