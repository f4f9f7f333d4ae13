using MathNet.Numerics.Statistics;

namespace TestRig.Core.Statistics;

/// <summary>
/// What the likeness of neighbouring values does to the variance of Mann and Kendall's score (Hamed and Rao, Journal of Hydrology 204 (1998) 182-196: value from memory): a drifting temperature takes values up and
/// down together, and without this it would be taken for a trend.
/// </summary>
public static class HamedRao
{
    /// <summary>
    /// n/n* = 1 + 2 / (n(n − 1)(n − 2)) · Σ (n − k)(n − k − 1)(n − k − 2) · r(k), over the lags k at which the autocorrelation r(k) of the ranks is beyond ±1.96/√n, what chance exceeds in one of 20. Above 1 where
    /// neighbours are alike; below 1, and in extreme cases not even above 0, where they are unlike.
    /// </summary>
    /// <param name="detrended">Values less their trend, about evenly spaced in time; at least 3.</param>
    /// <exception cref="ArgumentOutOfRangeException">There are fewer.</exception>
    public static double VarianceFactor(IReadOnlyCollection<double> detrended)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(detrended.Count, 3);
        var ranks = MathNet.Numerics.Statistics.Statistics.Ranks(detrended, RankDefinition.Average);
        // All the same: nothing is like its neighbour more than like any other.
        if (ranks.All(rank => rank == ranks[0]))
            return 1;
        double number = ranks.Length;
        static double Triples(double number) => number * (number - 1) * (number - 2);
        var significant = TwoSided.Reach(0.95) / Math.Sqrt(number);
        var sum = Correlation.Auto(ranks).Select((r, lag) => lag > 0 && Math.Abs(r) > significant ? Triples(number - lag) * r : 0).Sum();
        return 1 + (2 / Triples(number) * sum);
    }
}
