namespace TestRig.Core.Statistics;

/// <summary>
/// How far a value lies from the others of its batch, by medians, which a few strange values do not move: 0.6745 (x − median) / MAD, with MAD the median of the absolute deviations from the
/// median (Iglewicz and Hoaglin, How to Detect and Handle Outliers, 1993; NIST/SEMATECH e-Handbook 1.3.5.17).
/// </summary>
public static class ModifiedZScore
{
    /// <summary>Beyond it, either way, they call a value a potential outlier.</summary>
    public const double Limit = 3.5;

    /// <summary>Of fewer values half may be strange by chance (common practice).</summary>
    public const int LeastNumber = 5;

    /// <summary>Third quartile of the standard normal distribution: what makes the MAD comparable with a standard deviation.</summary>
    private const double NormalQuartile = 0.6745;

    /// <summary>One score for each value, in their order; null where at least half of the values are the same, so that the MAD is 0 and tells nothing.</summary>
    /// <param name="values">At least one.</param>
    /// <exception cref="ArgumentOutOfRangeException">There is no value.</exception>
    public static double[]? Of(IReadOnlyCollection<double> values)
    {
        var middle = Median(values);
        var deviation = Median([.. values.Select(value => Math.Abs(value - middle))]);
        return deviation > 0 ? [.. values.Select(value => NormalQuartile * (value - middle) / deviation)] : null;
    }

    /// <summary>The middle value; of an even number, the mean of the two in the middle.</summary>
    /// <inheritdoc cref="Of"/>
    public static double Median(IReadOnlyCollection<double> values)
    {
        ArgumentOutOfRangeException.ThrowIfZero(values.Count);
        double[] ordered = [.. values.Order()];
        return (ordered[(ordered.Length - 1) / 2] + ordered[ordered.Length / 2]) / 2;
    }
}
