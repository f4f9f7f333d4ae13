namespace TestRig.Core.Quantities;

/// <summary>A resistance in ohms. Zero is valid and the default.</summary>
public readonly record struct Ohms(double Value) : IComparable<Ohms>
{
    public static bool operator <(Ohms left, Ohms right) => left.Value < right.Value;

    public static bool operator >(Ohms left, Ohms right) => left.Value > right.Value;

    public static bool operator <=(Ohms left, Ohms right) => left.Value <= right.Value;

    public static bool operator >=(Ohms left, Ohms right) => left.Value >= right.Value;

    public int CompareTo(Ohms other) => Value.CompareTo(other.Value);

    /// <summary>Up to three significant digits with the prefix that fits.</summary>
    public override string ToString() => Prefixed.Format(Value, "ohm");
}
