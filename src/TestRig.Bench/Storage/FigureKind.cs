namespace TestRig.Bench.Storage;

/// <summary>What a figure of a cycle measures, and in which unit it is kept.</summary>
public enum FigureKind
{
    /// <summary>From the cause to the transition, in picoseconds.</summary>
    Delay,

    /// <summary>From the first to the last transition of an arrival, or of a contact's worst closing or opening, in picoseconds.</summary>
    SettleTime,

    /// <summary>A voltage that was read, in microvolts.</summary>
    Level,

    /// <summary>Feedback pulses.</summary>
    Pulses,

    /// <summary>How fast feedback pulses came, in microhertz.</summary>
    Rate,

    /// <summary>Transitions behind the first one, of a contact's worst closing or opening.</summary>
    Bounces,
}
