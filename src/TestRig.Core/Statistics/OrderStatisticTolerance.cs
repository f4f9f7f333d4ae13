using MathNet.Numerics;

namespace TestRig.Core.Statistics;

/// <summary>
/// Tolerance limits without any assumption about the distribution: the order statistics themselves (Wilks, Annals of Mathematical Statistics 12 (1941) 91-96: value from memory; ISO 16269-6:2014). Of n
/// values, m "blocks" between neighbours are left outside: 1 when one limit is the extreme value and the other side is open, 2 between smallest and largest.
/// </summary>
public static class OrderStatisticTolerance
{
    /// <summary>With what confidence the limits contain at least this share of the population: the probability of m or more misses among n, exactly.</summary>
    /// <param name="number">n, at least <paramref name="blocks"/>.</param>
    /// <param name="blocks">m, at least 1.</param>
    /// <param name="coverage">Above 0 and below 1.</param>
    public static double Confidence(int number, int blocks, double coverage)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(blocks, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(number, blocks);
        Share.Check(coverage, nameof(coverage));
        return SpecialFunctions.BetaRegularized(blocks, number - blocks + 1.0, 1 - coverage);
    }

    /// <summary>The smallest number of values for which the confidence is reached.</summary>
    /// <inheritdoc cref="Confidence"/>
    /// <param name="confidence">Above 0 and below 1.</param>
    public static int NumberNeeded(int blocks, double coverage, double confidence)
    {
        Share.Check(confidence, nameof(confidence));
        var enough = blocks;
        while (Confidence(enough, blocks, coverage) < confidence)
            enough *= 2;
        var tooFew = enough / 2;
        while (enough - tooFew > 1)
        {
            var middle = (enough + tooFew) / 2;
            if (middle >= blocks && Confidence(middle, blocks, coverage) >= confidence)
                enough = middle;
            else
                tooFew = middle;
        }
        return enough;
    }

    /// <summary>How many blocks may be left outside and the confidence still is reached: the rank, from the end, of a one-sided limit. 0 when not even the extreme value will do.</summary>
    /// <inheritdoc cref="NumberNeeded"/>
    public static int BlocksPermitted(int number, double coverage, double confidence)
    {
        Share.Check(confidence, nameof(confidence));
        var blocks = 0;
        while (blocks < number && Confidence(number, blocks + 1, coverage) >= confidence)
            blocks++;
        return blocks;
    }

    /// <summary>The share that the limits contain with this confidence: the (1 − confidence) quantile of a beta distribution.</summary>
    /// <inheritdoc cref="NumberNeeded"/>
    public static double Coverage(int number, int blocks, double confidence)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(blocks, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(number, blocks);
        Share.Check(confidence, nameof(confidence));
        return MathNet.Numerics.Distributions.Beta.InvCDF(number - blocks + 1.0, blocks, 1 - confidence);
    }
}
