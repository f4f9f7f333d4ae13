namespace TestRig.Core.Quantities;

/// <summary>An electric potential difference in volts. Zero is valid and the default.</summary>
public readonly record struct Volts(double Value) : IComparable<Volts>
{
    public static bool operator <(Volts left, Volts right) => left.Value < right.Value;

    public static bool operator >(Volts left, Volts right) => left.Value > right.Value;

    public static bool operator <=(Volts left, Volts right) => left.Value <= right.Value;

    public static bool operator >=(Volts left, Volts right) => left.Value >= right.Value;

    public int CompareTo(Volts other) => Value.CompareTo(other.Value);

    /// <summary>To whole multiples of 10 mV: a converter of ten bits at 5 V tells no more.</summary>
    public Volts ToHundredths() => new(Math.Round(Value, 2) + 0.0);

    /// <summary>Up to three significant digits with the prefix that fits.</summary>
    public override string ToString() => Prefixed.Format(Value, "V");
}
