namespace TestRig.Core.Quantities;

/// <summary>
/// The voltages that a receiver is sure to take for low (at or below <paramref name="LowMaximum"/>) and for high (at or above
/// <paramref name="HighMinimum"/>), and where they come from.
/// </summary>
public sealed record LevelLimits(Volts LowMaximum, Volts HighMinimum, string Source)
{
    /// <summary>
    /// TTL at 5 V: VIL 0.8 V maximum, VIH 2.0 V minimum. Source: Tokyo Electron Device FAQ 4902, quoting Texas Instruments
    /// SN74ALS1004 (January 1995).
    /// </summary>
    public static LevelLimits Ttl { get; } = new(new(0.8), new(2.0), "TTL: VIL 0.8 V, VIH 2.0 V (FAQ 4902 quoting TI SN74ALS1004)");

    /// <summary>Generic CMOS: 0.3 and 0.7 of the supply. Source: the same FAQ 4902, quoting JEITA ED-5007 (April 2010).</summary>
    public static LevelLimits OfSupply(Volts supply) => new(
        new(0.3 * supply.Value), new(0.7 * supply.Value), $"0.3 and 0.7 of {supply} (FAQ 4902 quoting JEITA ED-5007)");

    /// <summary>A voltage exactly at a limit is inside it.</summary>
    public LevelClass Classify(Volts voltage) =>
        voltage <= LowMaximum ? LevelClass.Low : voltage >= HighMinimum ? LevelClass.High : LevelClass.Undefined;
}
