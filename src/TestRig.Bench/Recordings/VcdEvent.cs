namespace TestRig.Bench.Recordings;

/// <summary>What a dump tells next.</summary>
public enum VcdEvent
{
    /// <summary>Nothing more.</summary>
    End,

    /// <summary>What follows was at <see cref="VcdReader.Time"/>.</summary>
    Time,

    /// <summary>The variables of <see cref="VcdReader.Code"/> have another value.</summary>
    Change,

    /// <summary>$dumpoff: from here on no value is known, whatever stands in its block.</summary>
    Off,

    /// <summary>A remark: <see cref="VcdReader.Comment"/>.</summary>
    Comment,
}
