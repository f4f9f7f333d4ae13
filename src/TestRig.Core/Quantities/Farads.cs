namespace TestRig.Core.Quantities;

/// <summary>A capacitance in farads. Zero is valid and the default.</summary>
public readonly record struct Farads(double Value) : IComparable<Farads>
{
    public static bool operator <(Farads left, Farads right) => left.Value < right.Value;

    public static bool operator >(Farads left, Farads right) => left.Value > right.Value;

    public static bool operator <=(Farads left, Farads right) => left.Value <= right.Value;

    public static bool operator >=(Farads left, Farads right) => left.Value >= right.Value;

    public int CompareTo(Farads other) => Value.CompareTo(other.Value);

    /// <summary>Up to three significant digits with the prefix that fits.</summary>
    public override string ToString() => Prefixed.Format(Value, "F");
}
