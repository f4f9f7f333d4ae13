namespace TestRig.Core.Quantities;

/// <summary>An electric current in amperes. Zero is valid and the default.</summary>
public readonly record struct Amperes(double Value) : IComparable<Amperes>
{
    public static bool operator <(Amperes left, Amperes right) => left.Value < right.Value;

    public static bool operator >(Amperes left, Amperes right) => left.Value > right.Value;

    public static bool operator <=(Amperes left, Amperes right) => left.Value <= right.Value;

    public static bool operator >=(Amperes left, Amperes right) => left.Value >= right.Value;

    public int CompareTo(Amperes other) => Value.CompareTo(other.Value);

    /// <summary>Up to three significant digits with the prefix that fits.</summary>
    public override string ToString() => Prefixed.Format(Value, "A");
}
