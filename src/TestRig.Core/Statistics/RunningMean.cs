namespace TestRig.Core.Statistics;

/// <summary>Mean, spread and extremes of values that come one by one and are not kept (Welford, Technometrics 4 (1962) 419-420: value from memory).</summary>
public sealed class RunningMean
{
    private double _squares;

    public int Count { get; private set; }

    /// <summary>0 while there is no value.</summary>
    public double Mean { get; private set; }

    /// <summary>0 while there is no value.</summary>
    public double Minimum { get; private set; }

    /// <summary>0 while there is no value.</summary>
    public double Maximum { get; private set; }

    /// <summary>Experimental standard deviation, with n − 1 (JCGM 100:2008 4.2.2); null of fewer than two values.</summary>
    public double? StandardDeviation => Count < 2 ? null : Math.Sqrt(_squares / (Count - 1));

    public void Add(double value)
    {
        Minimum = Count == 0 ? value : Math.Min(Minimum, value);
        Maximum = Count == 0 ? value : Math.Max(Maximum, value);
        Count++;
        var before = value - Mean;
        Mean += before / Count;
        _squares += before * (value - Mean);
    }
}
