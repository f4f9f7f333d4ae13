using MathNet.Numerics.Statistics;

namespace TestRig.Core.Statistics;

/// <summary>
/// A straight line whose slope is the median of the slopes of all pairs of points: up to 29 % of the points may be wild (Theil (1950); Sen, Journal of the American Statistical Association 63 (1968) 1379-1389:
/// values from memory).
/// </summary>
public sealed class TheilSen
{
    /// <summary>Points at most: 523 776 slopes in 4 MB.</summary>
    public const int MostPoints = 1024;

    private readonly double[] _slopes;

    private TheilSen(double[] slopes, TimedValue middle) => (_slopes, Slope, Middle) = (slopes, SortedArrayStatistics.Median(slopes), middle);

    /// <summary>Values' unit by times' unit.</summary>
    public double Slope { get; }

    /// <summary>The median of the times and that of the values: whatever the slope, the line goes through here.</summary>
    public TimedValue Middle { get; }

    /// <summary>The line's value at time 0, median value − slope · median time (Conover, Practical Nonparametric Statistics: value from memory), and not the median of value − slope · time.</summary>
    public double Intercept => Middle.Value - (Slope * Middle.Time);

    /// <param name="points">2..<see cref="MostPoints"/>, strictly ascending in time.</param>
    /// <exception cref="ArgumentException">They are too few, too many or not ascending.</exception>
    public static TheilSen Of(IReadOnlyList<TimedValue> points)
    {
        if (points.Count is < 2 or > MostPoints)
            throw new ArgumentException($"A line is found from 2..{MostPoints} points, and here are {points.Count}: {nameof(BlockMeans)} makes fewer of many.", nameof(points));
        var slopes = new double[points.Count * (points.Count - 1) / 2];
        var next = 0;
        for (var later = 1; later < points.Count; later++)
        {
            if (points[later].Time <= points[later - 1].Time)
                throw new ArgumentException($"The times ascend, but {points[later].Time} comes after {points[later - 1].Time}.", nameof(points));
            for (var earlier = 0; earlier < later; earlier++)
                slopes[next++] = (points[later].Value - points[earlier].Value) / (points[later].Time - points[earlier].Time);
        }
        Array.Sort(slopes);
        return new(slopes, new(MedianOf(points.Select(point => point.Time)), MedianOf(points.Select(point => point.Value))));
    }

    /// <summary>
    /// Between which two of the slopes the true one lies: those of rank (N − z√variance) / 2 and (N + z√variance) / 2 + 1 of N, interpolated (Gilbert, Statistical Methods for Environmental Pollution Monitoring
    /// (1987) 16.5: value from memory). An end is infinite where even the extreme slope would not do.
    /// </summary>
    /// <param name="confidence">Above 0 and below 1.</param>
    /// <param name="variance">Of Mann and Kendall's score of the same points, at least 0: the plain one, or one that allows for autocorrelation.</param>
    /// <exception cref="ArgumentOutOfRangeException">One of them is outside its range.</exception>
    public (double Lower, double Upper) Interval(double confidence, double variance)
    {
        Share.Check(confidence, nameof(confidence));
        if (!(variance >= 0))
            throw new ArgumentOutOfRangeException(nameof(variance), variance, "A variance is at least 0.");
        var reach = TwoSided.Reach(confidence) * Math.Sqrt(variance);
        return (OfRank((_slopes.Length - reach) / 2), OfRank(((_slopes.Length + reach) / 2) + 1));
    }

    /// <param name="rank">From 1.</param>
    private double OfRank(double rank)
    {
        if (rank < 1)
            return double.NegativeInfinity;
        if (rank > _slopes.Length)
            return double.PositiveInfinity;
        var (below, above) = (_slopes[(int)rank - 1], _slopes[(int)Math.Ceiling(rank) - 1]);
        return below + ((above - below) * (rank % 1));
    }

    private static double MedianOf(IEnumerable<double> values) => SortedArrayStatistics.Median([.. values.Order()]);
}
