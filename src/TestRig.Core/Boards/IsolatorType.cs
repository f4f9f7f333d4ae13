using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A phototransistor isolator.</summary>
/// <param name="LedForwardTypical">LED forward voltage at the sheet's test current.</param>
/// <param name="TransferRatioMinimum">Current transfer ratio, minimum, as a fraction (0.2 for 20 %).</param>
/// <param name="SaturationMaximum">Collector–emitter saturation voltage, maximum.</param>
/// <param name="LedCurrentMaximum">Absolute maximum LED current.</param>
/// <param name="OnDelay">At the sheet's small load, where neither its capacitance nor storage count.</param>
/// <param name="OffDelay">At the sheet's small load.</param>
/// <param name="CurrentGain">Of the phototransistor (hFE), typical: its collector capacitance acts (gain + 1) times as large.</param>
/// <param name="CollectorBaseCapacitance">Typical.</param>
/// <param name="StorageConstant">Switching off out of saturation takes this times ln(saturation margin) longer.</param>
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
    double CurrentGain,
    Farads CollectorBaseCapacitance,
    Duration StorageConstant) : PartType(Name, Description, Source)
{
    /// <summary>LED forward voltage, at most; null where the sheet gives none: then the typical.</summary>
    public Volts? LedForwardMaximum { get; init; }

    /// <summary>Current transfer ratio, typical, as a fraction; null where the sheet gives none: then the minimum.</summary>
    public double? TransferRatioTypical { get; init; }

    /// <summary>Current transfer ratio, at most, as a fraction; null where the sheet gives none.</summary>
    public double? TransferRatioMaximum { get; init; }

    /// <summary>The LED current for which the sheet gives the transfer ratio; null where the data do not tell.</summary>
    public Amperes? TestCurrent { get; init; }

    /// <summary>Of the collector while the LED is dark, at most; null where the data do not tell.</summary>
    public Amperes? LeakageMaximum { get; init; }

    /// <summary>The same of a typical part.</summary>
    public Amperes? LeakageTypical { get; init; }

    /// <summary>Collector–emitter saturation voltage, typical; null where the sheet gives none: then the maximum.</summary>
    public Volts? SaturationTypical { get; init; }

    /// <summary>What the feedback through <see cref="CollectorBaseCapacitance"/> makes of it: (gain + 1) × C (Miller), for a collector and an emitter output alike.</summary>
    public Farads MillerCapacitance => new((CurrentGain + 1) * CollectorBaseCapacitance.Value);
}
