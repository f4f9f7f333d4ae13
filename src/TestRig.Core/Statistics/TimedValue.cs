namespace TestRig.Core.Statistics;

/// <summary>A value and when it was so, in whatever units.</summary>
public readonly record struct TimedValue
{
    /// <exception cref="ArgumentException">One of them is not finite: no statistic could order it.</exception>
    public TimedValue(double time, double value)
    {
        if (!double.IsFinite(time) || !double.IsFinite(value))
            throw new ArgumentException($"A value and its time are finite; {value} at {time} is not.");
        (Time, Value) = (time, value);
    }

    public double Time { get; }

    public double Value { get; }
}
