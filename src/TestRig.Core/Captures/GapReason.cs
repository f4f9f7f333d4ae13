namespace TestRig.Core.Captures;

/// <summary>Why the adapter did not look.</summary>
public enum GapReason
{
    /// <summary>It was reading voltages, as the program told it to.</summary>
    MeasuringLevels,

    /// <summary>Its memory for changes was full.</summary>
    NoRoomForChanges,

    /// <summary>Its memory for level readings was full.</summary>
    NoRoomForLevels,

    /// <summary>
    /// The computer that times the looks did something else: two of them lay farther apart than the resolution that the adapter states. Only an adapter
    /// without a clock of its own has such gaps.
    /// </summary>
    HostLate,

    /// <summary>It was recorded by another instrument, and the recording does not tell a level there: unknown, undriven, or not written down.</summary>
    NotRecorded,
}
