namespace TestRig.Core.Link;

/// <summary>One answer of a <see cref="FrameDecoder"/>. It looks into the decoder's buffer: use it before the next call.</summary>
public readonly ref struct FrameReading
{
    private FrameReading(FrameAnswer answer, byte type, byte sequence, ReadOnlySpan<byte> body, MalformedReason reason, long skipped)
    {
        Answer = answer;
        Type = type;
        Sequence = sequence;
        Body = body;
        Reason = reason;
        Skipped = skipped;
    }

    public FrameAnswer Answer { get; }

    /// <summary>Of a <see cref="FrameAnswer.Frame"/>.</summary>
    public byte Type { get; }

    /// <summary>Of a <see cref="FrameAnswer.Frame"/>.</summary>
    public byte Sequence { get; }

    /// <summary>Of a <see cref="FrameAnswer.Frame"/>.</summary>
    public ReadOnlySpan<byte> Body { get; }

    /// <summary>Of <see cref="FrameAnswer.Malformed"/>.</summary>
    public MalformedReason Reason { get; }

    /// <summary>Of <see cref="FrameAnswer.Malformed"/>: bytes thrown away, the delimiter not counted.</summary>
    public long Skipped { get; }

    internal static FrameReading NeedMore => default;

    internal static FrameReading Frame(byte type, byte sequence, ReadOnlySpan<byte> body) =>
        new(FrameAnswer.Frame, type, sequence, body, default, 0);

    internal static FrameReading Malformed(MalformedReason reason, long skipped) =>
        new(FrameAnswer.Malformed, 0, 0, default, reason, skipped);
}
