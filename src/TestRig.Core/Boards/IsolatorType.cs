using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A phototransistor isolator.</summary>
/// <param name="LedForwardTypical">LED forward voltage at the sheet's test current.</param>
/// <param name="TransferRatioMinimum">Current transfer ratio, minimum, as a fraction (0.2 for 20 %).</param>
/// <param name="SaturationMaximum">Collector–emitter saturation voltage, maximum.</param>
/// <param name="LedCurrentMaximum">Absolute maximum LED current.</param>
/// <param name="OnDelay">At the sheet's small load.</param>
/// <param name="OffDelay">At the sheet's small load.</param>
/// <param name="OnDelayPerOhm">Added typical on delay for each ohm of load.</param>
/// <param name="OffDelayPerOhm">Added typical off delay for each ohm of load: a saturated transistor leaves slowly into a large load.</param>
public sealed record IsolatorType(
    string Name,
    string Description,
    string Source,
    string AnodePin,
    string CathodePin,
    string CollectorPin,
    string EmitterPin,
    Volts LedForwardTypical,
    double TransferRatioMinimum,
    Volts SaturationMaximum,
    Amperes LedCurrentMaximum,
    DelayLimits OnDelay,
    DelayLimits OffDelay,
    Duration OnDelayPerOhm,
    Duration OffDelayPerOhm) : PartType(Name, Description, Source);
