using TestRig.Core.Captures;
using TestRig.Core.Link;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>Between the device's ticks and converter steps, and times and volts.</summary>
internal sealed class DeviceScales(Identification device)
{
    public Duration Tick { get; } = new(device.TickPicoseconds);

    public LookTiming Looks { get; } = new(
        device.LookTicks, device.SkewTicks, device.RecordTicks, device.HousekeepingTicks, device.HousekeepingPeriod);

    /// <summary>Width of a change's interval when nothing else happens near it, and the step of the stamp itself.</summary>
    public Duration Resolution => Tick * (Looks.Width + 1);

    public double ClockTolerance => device.ClockTolerancePpm / 1e6;

    public Duration Time(uint ticks) => Tick * ticks;

    public Instant At(uint ticks) => Instant.Start + Time(ticks);

    /// <summary>For instants of steps: to the nearest tick.</summary>
    /// <exception cref="AdapterException">Negative, or beyond what the device can count.</exception>
    public uint Nearest(Duration duration) => Counted(duration, Math.Round((decimal)duration.Picoseconds / Tick.Picoseconds));

    /// <summary>For upper limits: never longer than asked.</summary>
    /// <exception cref="AdapterException">Negative, or beyond what the device can count.</exception>
    public uint RoundedDown(Duration duration) => Counted(duration, Math.Floor((decimal)duration.Picoseconds / Tick.Picoseconds));

    /// <summary>For lower limits: never shorter than asked.</summary>
    /// <exception cref="AdapterException">Negative, or beyond what the device can count.</exception>
    public uint RoundedUp(Duration duration) => Counted(duration, Math.Ceiling((decimal)duration.Picoseconds / Tick.Picoseconds));

    /// <summary>
    /// How far the converter may be off, in steps: 2 typically with a converter clock of up to 200 kHz (Microchip DS40002011A, ATmega48PA/88PA/168PA, Table 33-12; sister parts of the chips
    /// that the firmware runs on).
    /// </summary>
    private const double ConverterInaccuracy = 2;

    /// <summary>The voltage at the pin, with what its uncertainty is made of.</summary>
    public LevelReading Reading(string signal, Instant at, LevelEntry entry)
    {
        var step = device.ReferenceMillivolts / 1e3 / (1 << device.ConverterBits);
        var mean = (double)entry.Sum / entry.Samples * step;
        var (smallest, largest) = (entry.Smallest * step, entry.Largest * step);
        return LevelReading.With(
            signal, at, new(mean), new(smallest), new(largest), entry.Samples,
            LevelUnknowns.Of(mean, largest - smallest, entry.Samples, device.ReferenceTolerancePpm / 1e6, step, ConverterInaccuracy));
    }

    private uint Counted(Duration duration, decimal ticks) => ticks is >= 0 and <= uint.MaxValue
        ? (uint)ticks
        : throw new AdapterException(
            AdapterFault.Refused, $"A time of {duration} cannot be counted by the adapter, which counts from 0 to {Time(uint.MaxValue)}. Correct the time in the profile.");
}
