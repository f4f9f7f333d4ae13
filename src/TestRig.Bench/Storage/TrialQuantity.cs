namespace TestRig.Bench.Storage;

/// <summary>What is measured of a part on trial.</summary>
internal enum TrialQuantity
{
    /// <summary>In amperes.</summary>
    LedCurrent,

    /// <summary>In volts.</summary>
    LedForward,

    /// <summary>Collector current over LED current.</summary>
    TransferRatio,

    /// <summary>In amperes.</summary>
    Leakage,

    /// <summary>In seconds.</summary>
    OnDelay,

    /// <summary>In seconds.</summary>
    OffDelay,
}
