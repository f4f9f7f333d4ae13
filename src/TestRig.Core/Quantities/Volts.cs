namespace TestRig.Core.Quantities;

/// <summary>An electric potential difference in volts. Zero is valid and the default.</summary>
public readonly record struct Volts(double Value) : IComparable<Volts>
{
    public static bool operator <(Volts left, Volts right) => left.Value < right.Value;

    public static bool operator >(Volts left, Volts right) => left.Value > right.Value;

    public static bool operator <=(Volts left, Volts right) => left.Value <= right.Value;

    public static bool operator >=(Volts left, Volts right) => left.Value >= right.Value;

    public int CompareTo(Volts other) => Value.CompareTo(other.Value);

    /// <summary>Up to three significant digits with the prefix that fits.</summary>
    public override string ToString() => Prefixed.Format(Value, "V");
}
