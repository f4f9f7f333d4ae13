namespace TestRig.Core.Link;

/// <summary>What a frame decoder found in the bytes that it consumed.</summary>
public enum FrameAnswer
{
    /// <summary>All bytes are consumed, and no frame has ended yet.</summary>
    NeedMore,

    /// <summary>A whole frame with a right checksum.</summary>
    Frame,

    /// <summary>Bytes up to a delimiter that are no frame. They are thrown away: nothing in them has a meaning.</summary>
    Malformed,
}

/// <summary>Why bytes were thrown away.</summary>
public enum MalformedReason
{
    /// <summary>More than <see cref="FrameFormat.LongestEncoded"/> bytes without a delimiter, or a payload of more than <see cref="FrameFormat.LongestPayload"/>.</summary>
    TooLong,

    /// <summary>The byte stuffing is broken.</summary>
    BrokenStuffing,

    /// <summary>Fewer than <see cref="FrameFormat.ShortestPayload"/> bytes.</summary>
    TooShort,

    WrongChecksum,
}
