namespace TestRig.Core.Link;

/// <summary>
/// The frame of the link, as firmware-notes/link-protocol.md section 2 lays it down:
/// <code>
///             +------+-----+----------------+-------------------+
/// payload     | type | seq | body 0..244 B  | CRC-32 (4 bytes)  |        6..250 bytes
///             +------+-----+----------------+-------------------+
///                 |  consistent overhead byte stuffing
///                 v
/// wire        | 0x00 | COBS(payload): no zero byte inside | 0x00 |
/// </code>
/// The CRC covers type, seq and body and is sent little-endian.
/// </summary>
public static class FrameFormat
{
    /// <summary>Ends each frame, and appears nowhere inside one.</summary>
    public const byte Delimiter = 0x00;

    /// <summary>Type, sequence number and CRC: the payload of a frame without body.</summary>
    public const int ShortestPayload = HeaderLength + ChecksumLength;

    public const int LongestBody = 244;

    /// <summary>A receiver throws away a longer payload, whatever its checksum.</summary>
    public const int LongestPayload = LongestBody + ShortestPayload;

    /// <summary>A receiver throws away more encoded bytes than this without a delimiter.</summary>
    public const int LongestEncoded = 252;

    /// <summary>A frame on the wire with both its delimiters is never longer than this.</summary>
    public const int LongestWire = LongestEncoded + 2;

    internal const int HeaderLength = 2;

    internal const int ChecksumLength = 4;
}
