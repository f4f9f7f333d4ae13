using System.Globalization;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Learning;

/// <summary>Times as a profile writes them, with three significant digits, rounded so that nothing is cut off.</summary>
internal static class WindowText
{
    private static readonly (long Picoseconds, string Unit)[] _units = [(1_000_000_000_000, "s"), (1_000_000_000, "ms"), (1_000_000, "us"), (1_000, "ns")];

    /// <summary>"2.14..7.36 us": the first rounded down, the second up, and at least a step apart.</summary>
    public static string Range(Duration earliest, Duration latest)
    {
        var (unit, step, word) = Scale(latest);
        var low = Math.Max(0, earliest.Picoseconds) / step * step;
        var high = Math.Max(low + step, RoundedUp(latest.Picoseconds, step));
        return $"{Number(low, unit)}..{Number(high, unit)} {word}";
    }

    /// <summary>"7.36 us", rounded up.</summary>
    public static string AtMost(Duration time)
    {
        var (unit, step, word) = Scale(time);
        return $"{Number(Math.Max(step, RoundedUp(time.Picoseconds, step)), unit)} {word}";
    }

    /// <summary>"250 ms", as it is.</summary>
    public static string Exactly(Duration time)
    {
        var (unit, word) = _units.FirstOrDefault(candidate => time.Picoseconds >= candidate.Picoseconds, _units[^1]);
        return $"{((decimal)time.Picoseconds / unit).ToString(CultureInfo.InvariantCulture)} {word}";
    }

    private static (long Unit, long Step, string Word) Scale(Duration time)
    {
        var (unit, word) = _units.FirstOrDefault(candidate => time.Picoseconds >= candidate.Picoseconds, _units[^1]);
        var whole = time.Picoseconds / unit;
        var step = whole >= 100 ? unit : whole >= 10 ? unit / 10 : unit / 100;
        return (unit, step, word);
    }

    private static long RoundedUp(long picoseconds, long step) => (picoseconds + step - 1) / step * step;

    private static string Number(long picoseconds, long unit) => ((decimal)picoseconds / unit).ToString("0.##", CultureInfo.InvariantCulture);
}
