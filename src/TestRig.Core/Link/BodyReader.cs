using System.Buffers.Binary;
using System.Text;

namespace TestRig.Core.Link;

/// <summary>Reads the fields of a body in order. Past the end it reads zeros and remembers that the body was too short.</summary>
internal ref struct BodyReader(ReadOnlySpan<byte> body)
{
    private ReadOnlySpan<byte> rest = body;

    public bool TooShort { get; private set; }

    public readonly int Remaining => rest.Length;

    public byte U8()
    {
        var bytes = Take(1);
        return bytes.IsEmpty ? (byte)0 : bytes[0];
    }

    public ushort U16()
    {
        var bytes = Take(2);
        return bytes.IsEmpty ? (ushort)0 : BinaryPrimitives.ReadUInt16LittleEndian(bytes);
    }

    public uint U32()
    {
        var bytes = Take(4);
        return bytes.IsEmpty ? 0 : BinaryPrimitives.ReadUInt32LittleEndian(bytes);
    }

    /// <summary>Text with its length in front. What is not printable ASCII becomes a question mark: names go to screens.</summary>
    public string Text()
    {
        var bytes = Take(U8());
        var text = new StringBuilder(bytes.Length);
        foreach (var value in bytes)
            text.Append(value is >= 0x20 and < 0x7F ? (char)value : '?');
        return text.ToString();
    }

    /// <summary>Empty, with <see cref="TooShort"/> set, when so many bytes are not there.</summary>
    public ReadOnlySpan<byte> Take(int count)
    {
        if (count > rest.Length)
        {
            TooShort = true;
            rest = default;
            return default;
        }
        var taken = rest[..count];
        rest = rest[count..];
        return taken;
    }
}
