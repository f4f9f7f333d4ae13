namespace TestRig.Core.Trials;

/// <summary>What is measured of an isolator in the socket.</summary>
public enum TrialFigure
{
    /// <summary>Forward voltage of the LED, in volts.</summary>
    LedForward,

    /// <summary>Collector current over LED current, as a fraction.</summary>
    TransferRatio,

    /// <summary>From the command to the emitter half-way up, in seconds.</summary>
    OnDelay,

    /// <summary>From the end of the command to the emitter half-way down, in seconds.</summary>
    OffDelay,

    /// <summary>Collector current with the LED dark, in amperes.</summary>
    Leakage,
}
