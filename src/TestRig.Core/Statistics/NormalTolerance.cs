using MathNet.Numerics;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Integration;
using MathNet.Numerics.RootFinding;

namespace TestRig.Core.Statistics;

/// <summary>
/// Factors k of tolerance limits for a normal population of unknown mean and standard deviation: mean ± k·s (two-sided) or mean + k·s (one-sided) of n values contains at least a
/// stated share of the population (the coverage) with a stated confidence. ISO 16269-6:2014; the same as k2 and k1 of NIST/SEMATECH 7.2.6.3, without their approximations.
/// </summary>
public static class NormalTolerance
{
    /// <summary>How far a standard normal deviate is followed: beyond lies 1e-18 of it.</summary>
    private const double Farthest = 8.8;

    private const double Accuracy = 1e-9;

    /// <summary>Exact, by the non-central t distribution: k = t(confidence; n − 1, z·√n) / √n.</summary>
    /// <param name="number">Values, at least 2.</param>
    /// <param name="coverage">Share of the population within, above 0 and below 1.</param>
    /// <param name="confidence">Above 0 and below 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">A parameter is outside its range.</exception>
    public static double OneSided(int number, double coverage, double confidence)
    {
        Check(number, coverage, confidence);
        var shift = Normal.InvCDF(0, 1, coverage) * Math.Sqrt(number);
        return Solve(factor => NoncentralT.Cumulative(factor * Math.Sqrt(number), number - 1, shift) - confidence);
    }

    /// <summary>
    /// Exact: the confidence is the mean, over where the sample's mean may lie, of the probability that s is large enough for the share that k·s then has to reach (ISO 16269-6:2014,
    /// Annex F, tabulates it rounded up at the fourth decimal).
    /// </summary>
    /// <inheritdoc cref="OneSided"/>
    public static double TwoSided(int number, double coverage, double confidence)
    {
        Check(number, coverage, confidence);
        // The half-widths that reach the share do not depend on k: computed once for every place of the mean.
        var places = GaussLegendreRuleOf(0, Farthest);
        var reaches = places.Select(place => HalfWidth(place.At / Math.Sqrt(number), coverage)).ToArray();
        double Confidence(double factor)
        {
            var sum = 0.0;
            for (var i = 0; i < places.Length; i++)
            {
                var least = (number - 1) * reaches[i] * reaches[i] / (factor * factor);
                sum += places[i].Weight * Normal.PDF(0, 1, places[i].At) * SpecialFunctions.GammaUpperRegularized((number - 1) / 2.0, least / 2);
            }
            return 2 * sum;
        }
        return Solve(factor => Confidence(factor) - confidence);
    }

    /// <summary>Half of a window, centred off the mean by <paramref name="off"/> standard deviations, that contains this share of a normal population.</summary>
    private static double HalfWidth(double off, double share) =>
        Brent.FindRoot(half => Normal.CDF(0, 1, off + half) - Normal.CDF(0, 1, off - half) - share, 0, off + Farthest, 1e-13);

    private static double Solve(Func<double, double> tooConfidentBy)
    {
        var most = 2.0;
        while (tooConfidentBy(most) < 0)
            most *= 2;
        return Brent.FindRoot(tooConfidentBy, 1e-6, most, Accuracy);
    }

    private static (double At, double Weight)[] GaussLegendreRuleOf(double from, double to)
    {
        var rule = new GaussLegendreRule(from, to, 128);
        return [.. rule.Abscissas.Zip(rule.Weights)];
    }

    private static void Check(int number, double coverage, double confidence)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(number, 2);
        Share.Check(coverage, nameof(coverage));
        Share.Check(confidence, nameof(confidence));
    }
}
