using System.Buffers.Binary;

namespace TestRig.Core.Link;

/// <summary>Writes frames as they go over the wire.</summary>
public static class FrameEncoder
{
    /// <summary>Writes one frame with a delimiter before and behind it, so that noise on an idle line ends before the frame begins.</summary>
    /// <param name="body">At most <see cref="FrameFormat.LongestBody"/> bytes.</param>
    /// <param name="wire"><see cref="FrameFormat.LongestWire"/> bytes are always enough.</param>
    /// <returns>The number of bytes written.</returns>
    /// <exception cref="ArgumentException">The body is too long.</exception>
    public static int Encode(byte type, byte sequence, ReadOnlySpan<byte> body, Span<byte> wire)
    {
        if (body.Length > FrameFormat.LongestBody)
            throw new ArgumentException($"A frame carries at most {FrameFormat.LongestBody} bytes, not {body.Length}.", nameof(body));
        Span<byte> payload = stackalloc byte[body.Length + FrameFormat.ShortestPayload];
        payload[0] = type;
        payload[1] = sequence;
        body.CopyTo(payload[FrameFormat.HeaderLength..]);
        var covered = payload[..(FrameFormat.HeaderLength + body.Length)];
        BinaryPrimitives.WriteUInt32LittleEndian(payload[covered.Length..], LinkChecksum.Of(covered));
        wire[0] = FrameFormat.Delimiter;
        var length = Cobs.Encode(payload, wire[1..]);
        wire[1 + length] = FrameFormat.Delimiter;
        return length + 2;
    }
}
