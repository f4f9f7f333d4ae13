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
    /// The voltage at the pin. Its standard uncertainty joins three: the reference's tolerance, uniform (half-width / √3); one step of the
    /// converter, uniform (step / √12; JCGM 100:2008, F.2.2.1); and the spread of the samples, taken as uniform between the
    /// smallest and the largest, over √n.
    /// </summary>
    public LevelReading Reading(string signal, Instant at, LevelEntry entry)
    {
        var step = device.ReferenceMillivolts / 1e3 / (1 << device.ConverterBits);
        var mean = (double)entry.Sum / entry.Samples * step;
        var reference = device.ReferenceTolerancePpm / 1e6 * mean / Math.Sqrt(3);
        var quantisation = step / Math.Sqrt(12);
        var spread = (entry.Largest - entry.Smallest) * step / Math.Sqrt(12) / Math.Sqrt(entry.Samples);
        return new(
            signal,
            at,
            new Volts(mean),
            new Volts(entry.Smallest * step),
            new Volts(entry.Largest * step),
            entry.Samples,
            new Volts(Math.Sqrt((reference * reference) + (quantisation * quantisation) + (spread * spread))));
    }

    private uint Counted(Duration duration, decimal ticks) => ticks is >= 0 and <= uint.MaxValue
        ? (uint)ticks
        : throw new AdapterException(
            AdapterFault.Refused, $"A time of {duration} cannot be counted by the adapter, which counts from 0 to {Time(uint.MaxValue)}. Correct the time in the profile.");
}
