using System.Globalization;

namespace TestRig.Core.Quantities;

/// <summary>
/// A signed length of time in whole picoseconds. Zero is a valid value and the default. Range about ±106 days; arithmetic that leaves
/// the range throws <see cref="OverflowException"/>. Ticks of 62.5 ns and of 8 ns are both exact.
/// </summary>
public readonly record struct Duration(long Picoseconds) : IComparable<Duration>
{
    public static readonly Duration Zero;

    /// <summary>Rounds to the nearest picosecond.</summary>
    public static Duration FromSeconds(double seconds) => new(checked((long)Math.Round(seconds * 1e12)));

    public static Duration FromMilliseconds(long milliseconds) => new(checked(milliseconds * 1_000_000_000));

    public static Duration FromMicroseconds(long microseconds) => new(checked(microseconds * 1_000_000));

    public static Duration FromNanoseconds(long nanoseconds) => new(checked(nanoseconds * 1_000));

    /// <summary>For statistics and drawing only: never convert back to keep an instant.</summary>
    public double ToSeconds() => Picoseconds / 1e12;

    public static Duration operator +(Duration left, Duration right) => new(checked(left.Picoseconds + right.Picoseconds));

    public static Duration operator -(Duration left, Duration right) => new(checked(left.Picoseconds - right.Picoseconds));

    public static Duration operator -(Duration value) => new(checked(-value.Picoseconds));

    public static Duration operator *(Duration value, long factor) => new(checked(value.Picoseconds * factor));

    /// <summary>Scales and rounds to the nearest picosecond.</summary>
    public Duration Scaled(double factor) => new(checked((long)Math.Round(Picoseconds * factor)));

    public static bool operator <(Duration left, Duration right) => left.Picoseconds < right.Picoseconds;

    public static bool operator >(Duration left, Duration right) => left.Picoseconds > right.Picoseconds;

    public static bool operator <=(Duration left, Duration right) => left.Picoseconds <= right.Picoseconds;

    public static bool operator >=(Duration left, Duration right) => left.Picoseconds >= right.Picoseconds;

    public static Duration Max(Duration left, Duration right) => left >= right ? left : right;

    public static Duration Min(Duration left, Duration right) => left <= right ? left : right;

    public int CompareTo(Duration other) => Picoseconds.CompareTo(other.Picoseconds);

    /// <summary>At most three or four significant digits and the unit that fits, e.g. "18 ns", "5.25 µs", "120 ms".</summary>
    public override string ToString()
    {
        var magnitude = Math.Abs((double)Picoseconds);
        var (scale, unit) = magnitude switch
        {
            0 => (1.0, "s"),
            < 1e3 => (1.0, "ps"),
            < 1e6 => (1e3, "ns"),
            < 1e9 => (1e6, "µs"),
            < 1e12 => (1e9, "ms"),
            _ => (1e12, "s"),
        };
        var value = Picoseconds / scale;
        var decimals = Math.Abs(value) switch { >= 100 => 0, >= 10 => 1, _ => 2 };
        return Math.Round(value, decimals).ToString("0.##", CultureInfo.InvariantCulture) + " " + unit;
    }
}
