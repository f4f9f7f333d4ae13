using System.Buffers.Binary;

namespace TestRig.Core.Link;

/// <summary>
/// Finds frames in a stream of bytes that arrives in pieces of any size. It keeps a bounded buffer, allocates nothing for a frame, and throws
/// on no input: bytes that are no frame are counted and thrown away up to the next delimiter, where it starts afresh.
/// </summary>
public sealed class FrameDecoder
{
    private readonly byte[] encoded = new byte[FrameFormat.LongestEncoded];
    private readonly byte[] payload = new byte[FrameFormat.LongestEncoded];
    private int held;
    private long overlong;

    /// <summary>Frames found since the start.</summary>
    public long Accepted { get; private set; }

    /// <summary>Runs of bytes thrown away since the start.</summary>
    public long ThrownAway { get; private set; }

    /// <summary>Bytes in what was thrown away since the start, delimiters not counted.</summary>
    public long BytesThrownAway { get; private set; }

    /// <summary>
    /// Reads up to and including the first delimiter that ends something, or all of <paramref name="input"/>. Call again with what is
    /// left until the answer is <see cref="FrameAnswer.NeedMore"/>, which means that all is consumed.
    /// </summary>
    public FrameReading Read(ReadOnlySpan<byte> input, out int consumed)
    {
        consumed = 0;
        while (consumed < input.Length)
        {
            var rest = input[consumed..];
            var end = rest.IndexOf(FrameFormat.Delimiter);
            Keep(end < 0 ? rest : rest[..end]);
            if (end < 0)
            {
                consumed = input.Length;
                break;
            }
            consumed += end + 1;
            if (held == 0)
                continue;
            return Finish();
        }
        return FrameReading.NeedMore;
    }

    private void Keep(ReadOnlySpan<byte> bytes)
    {
        if (overlong > 0)
        {
            overlong += bytes.Length;
            return;
        }
        if (bytes.Length > encoded.Length - held)
        {
            overlong = held + (long)bytes.Length;
            held = encoded.Length;
            return;
        }
        bytes.CopyTo(encoded.AsSpan(held));
        held += bytes.Length;
    }

    private FrameReading Finish()
    {
        var length = held;
        var tooLong = overlong;
        held = 0;
        overlong = 0;
        if (tooLong > 0)
            return ThrowAway(MalformedReason.TooLong, tooLong);
        if (!Cobs.TryDecode(encoded.AsSpan(0, length), payload, out var plain))
            return ThrowAway(MalformedReason.BrokenStuffing, length);
        if (plain > FrameFormat.LongestPayload)
            return ThrowAway(MalformedReason.TooLong, length);
        if (plain < FrameFormat.ShortestPayload)
            return ThrowAway(MalformedReason.TooShort, length);
        var covered = payload.AsSpan(0, plain - FrameFormat.ChecksumLength);
        if (LinkChecksum.Of(covered) != BinaryPrimitives.ReadUInt32LittleEndian(payload.AsSpan(covered.Length)))
            return ThrowAway(MalformedReason.WrongChecksum, length);
        Accepted++;
        return FrameReading.Frame(covered[0], covered[1], covered[FrameFormat.HeaderLength..]);
    }

    private FrameReading ThrowAway(MalformedReason reason, long bytes)
    {
        ThrownAway++;
        BytesThrownAway += bytes;
        return FrameReading.Malformed(reason, bytes);
    }
}
