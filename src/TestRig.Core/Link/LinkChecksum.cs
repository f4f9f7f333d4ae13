using System.IO.Hashing;

namespace TestRig.Core.Link;

/// <summary>
/// CRC-32/ISO-HDLC: reflected, polynomial 0x04C11DB7, initial value and final XOR 0xFFFFFFFF. It guards every frame, and it is
/// the digest of limits and programs.
/// </summary>
public static class LinkChecksum
{
    public static uint Of(ReadOnlySpan<byte> data) => Crc32.HashToUInt32(data);
}
