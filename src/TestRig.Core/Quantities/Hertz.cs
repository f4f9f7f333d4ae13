namespace TestRig.Core.Quantities;

/// <summary>A rate of recurrence: pulses per second. Zero is valid and the default.</summary>
public readonly record struct Hertz(double Value)
{
    /// <summary>Up to three significant digits with the prefix that fits.</summary>
    public override string ToString() => Prefixed.Format(Value, "Hz");
}
