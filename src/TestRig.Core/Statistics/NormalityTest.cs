using MathNet.Numerics.Distributions;

namespace TestRig.Core.Statistics;

/// <summary>
/// Whether values may be taken for a sample of a normal population whose mean and standard deviation are not known (Lilliefors, Journal of the American Statistical Association 62 (1967)
/// 399-402), with the rounding of the values allowed for: only what no rounding explains counts against it.
/// </summary>
public static class NormalityTest
{
    /// <summary>Fewer values have any shape by chance; Lilliefors' table begins here.</summary>
    public const int LeastNumber = 4;

    /// <summary>
    /// Of the largest distance between the values' own distribution and the normal one with their mean and standard deviation; greater in one sample of 20 from a normal population
    /// (Stephens, JASA 69 (1974) 730-737, table 1A, case 3: value from memory; it gives Lilliefors' table 0.258, 0.190, 0.161 for 10, 20, 30 values within 0.004).
    /// </summary>
    /// <param name="number">Values, at least <see cref="LeastNumber"/>.</param>
    public static double CriticalDistance(int number)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(number, LeastNumber);
        var root = Math.Sqrt(number);
        return 0.895 / (root - 0.01 + (0.85 / root));
    }

    /// <summary>The largest distance between the two distributions, each value taken where within its rounding it fits best. 0 where all values are the same.</summary>
    /// <param name="values">At least two.</param>
    /// <param name="rounding">How far a value may lie from what it stands for, at least 0.</param>
    public static double Distance(IReadOnlyCollection<double> values, double rounding)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(values.Count, 2);
        ArgumentOutOfRangeException.ThrowIfNegative(rounding);
        var spread = new RunningMean();
        foreach (var value in values)
            spread.Add(value);
        if (spread.StandardDeviation is not { } deviation || deviation <= 0)
            return 0;
        var (largest, before) = (0.0, 0);
        foreach (var value in values.Order())
        {
            var above = (double)(before + 1) / values.Count - Normal.CDF(spread.Mean, deviation, value + rounding);
            var below = Normal.CDF(spread.Mean, deviation, value - rounding) - ((double)before / values.Count);
            largest = Math.Max(largest, Math.Max(above, below));
            before++;
        }
        return largest;
    }

    /// <summary>True when the values do not speak against it at the 5 % level. It is no proof: few values speak against little.</summary>
    /// <inheritdoc cref="Distance"/>
    public static bool MayBeNormal(IReadOnlyCollection<double> values, double rounding) =>
        values.Count >= LeastNumber && Distance(values, rounding) <= CriticalDistance(values.Count);
}
