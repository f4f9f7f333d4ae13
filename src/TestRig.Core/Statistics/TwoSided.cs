using MathNet.Numerics.Distributions;

namespace TestRig.Core.Statistics;

/// <summary>Both tails of the standard normal distribution.</summary>
internal static class TwoSided
{
    /// <summary>How often chance alone takes a standard normal deviate at least so far from 0 on either side.</summary>
    public static double Probability(double deviate) => 2 * Normal.CDF(0, 1, -Math.Abs(deviate));

    /// <summary>So far from 0 on either side lies this share: 1.96 for 0.95.</summary>
    public static double Reach(double share) => Normal.InvCDF(0, 1, (1 + share) / 2);
}
