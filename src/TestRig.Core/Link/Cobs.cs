namespace TestRig.Core.Link;

/// <summary>
/// Consistent overhead byte stuffing: rewrites any bytes as bytes without a zero, at a cost of one byte in 254.
/// Source: S. Cheshire and M. Baker, IEEE/ACM Transactions on Networking 7(2), April 1999.
/// </summary>
public static class Cobs
{
    /// <summary>A block with this code carries 254 bytes and stands for no zero behind them.</summary>
    private const byte FullBlock = 0xFF;

    /// <summary>Room that <see cref="Encode"/> may need for so many plain bytes.</summary>
    public static int LongestEncoding(int plainLength) => plainLength + 1 + (plainLength / 254);

    /// <summary>Encodes without a delimiter. A last block of exactly 254 bytes gets no closing 0x01.</summary>
    /// <param name="encoded">At least <see cref="LongestEncoding"/> bytes.</param>
    /// <returns>The number of bytes written; at least 1.</returns>
    public static int Encode(ReadOnlySpan<byte> plain, Span<byte> encoded)
    {
        var code = 0;
        var written = 1;
        var closed = false;
        foreach (var value in plain)
        {
            if (closed)
            {
                code = written++;
                closed = false;
            }
            if (value != 0)
            {
                encoded[written++] = value;
                if (written - code != FullBlock)
                    continue;
                encoded[code] = FullBlock;
                closed = true;
            }
            else
            {
                encoded[code] = (byte)(written - code);
                code = written++;
            }
        }
        if (!closed)
            encoded[code] = (byte)(written - code);
        return written;
    }

    /// <summary>Decodes bytes that contain no delimiter.</summary>
    /// <param name="plain">At least as long as <paramref name="encoded"/>.</param>
    /// <param name="length">The number of plain bytes written; 0 when broken.</param>
    /// <returns>False when the bytes are no encoding: a zero inside, or a block that is longer than what is there.</returns>
    public static bool TryDecode(ReadOnlySpan<byte> encoded, Span<byte> plain, out int length)
    {
        length = 0;
        var written = 0;
        while (!encoded.IsEmpty)
        {
            var code = encoded[0];
            if (code == 0 || code > encoded.Length)
                return false;
            var block = encoded[1..code];
            if (block.Contains((byte)0))
                return false;
            block.CopyTo(plain[written..]);
            written += block.Length;
            encoded = encoded[code..];
            if (code != FullBlock && !encoded.IsEmpty)
                plain[written++] = 0;
        }
        length = written;
        return true;
    }
}
