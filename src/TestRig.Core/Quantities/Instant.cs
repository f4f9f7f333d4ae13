namespace TestRig.Core.Quantities;

/// <summary>
/// A point in time on an adapter's own clock, in whole picoseconds from the start of its capture. Instants of different captures cannot be compared.
/// For a length of time use <see cref="Duration"/>.
/// </summary>
public readonly record struct Instant(long Picoseconds) : IComparable<Instant>
{
    /// <summary>The start of the capture.</summary>
    public static readonly Instant Start;

    public static Instant operator +(Instant instant, Duration duration) => new(checked(instant.Picoseconds + duration.Picoseconds));

    public static Instant operator -(Instant instant, Duration duration) => new(checked(instant.Picoseconds - duration.Picoseconds));

    public static Duration operator -(Instant left, Instant right) => new(checked(left.Picoseconds - right.Picoseconds));

    public static bool operator <(Instant left, Instant right) => left.Picoseconds < right.Picoseconds;

    public static bool operator >(Instant left, Instant right) => left.Picoseconds > right.Picoseconds;

    public static bool operator <=(Instant left, Instant right) => left.Picoseconds <= right.Picoseconds;

    public static bool operator >=(Instant left, Instant right) => left.Picoseconds >= right.Picoseconds;

    public static Instant Max(Instant left, Instant right) => left >= right ? left : right;

    public static Instant Min(Instant left, Instant right) => left <= right ? left : right;

    public Duration SinceStart => new(Picoseconds);

    public int CompareTo(Instant other) => Picoseconds.CompareTo(other.Picoseconds);

    public override string ToString() => SinceStart.ToString();
}
