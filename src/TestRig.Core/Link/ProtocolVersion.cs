namespace TestRig.Core.Link;

/// <summary>The first bytes of an identification, which keep their place in every version of the protocol.</summary>
public sealed record ProtocolVersion(byte Major, byte Minor, byte FirmwareMajor, byte FirmwareMinor)
{
    /// <summary>The major version that this code speaks.</summary>
    public const byte SpokenMajor = 1;

    /// <summary>The minor version from which on a device knows SELECTS and SELECT.</summary>
    public const byte MinorWithSelects = 1;

    internal const int Length = 8;

    private static ReadOnlySpan<byte> Magic => "TRig"u8;

    /// <summary>Malformed when the bytes are not those of an adapter of ours, whatever its version.</summary>
    /// <param name="body">OK reply to IDENTIFY, behind the result.</param>
    public static Parsed<ProtocolVersion> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var magic = reader.Take(Magic.Length);
        var version = new ProtocolVersion(reader.U8(), reader.U8(), reader.U8(), reader.U8());
        if (reader.TooShort)
            return new("the identification is too short");
        return magic.SequenceEqual(Magic) ? new(version) : new("the identification does not begin with the adapter's mark");
    }
}
