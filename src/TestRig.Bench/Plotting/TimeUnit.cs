using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>The unit of a time axis.</summary>
public sealed record TimeUnit(string Symbol, double Picoseconds)
{
    public static readonly TimeUnit Nanoseconds = new("ns", 1e3);
    public static readonly TimeUnit Microseconds = new("µs", 1e6);
    public static readonly TimeUnit Milliseconds = new("ms", 1e9);
    public static readonly TimeUnit Seconds = new("s", 1e12);

    /// <summary>The largest unit of which an axis of this length shows at least two.</summary>
    public static TimeUnit For(Duration length) =>
        Array.Find([Seconds, Milliseconds, Microseconds], unit => length.Picoseconds >= 2 * unit.Picoseconds) ?? Nanoseconds;

    /// <summary>For drawing only.</summary>
    public double Of(Duration duration) => duration.Picoseconds / Picoseconds;
}
