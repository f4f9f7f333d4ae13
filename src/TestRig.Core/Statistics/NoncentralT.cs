using MathNet.Numerics;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Integration;

namespace TestRig.Core.Statistics;

/// <summary>The non-central t distribution: of (Z + shift) / √(χ²/ν), with Z standard normal and χ² of ν degrees of freedom, independent.</summary>
public static class NoncentralT
{
    /// <summary>Probability of a value up to <paramref name="value"/>; absolute error below 1e-10 for values ≥ 0.</summary>
    /// <remarks>The mean, over the root r = √(χ²/ν), of Φ(value·r − shift): integrated over where r can lie, 1e-15 of it left out at each end.</remarks>
    /// <param name="freedom">ν, degrees of freedom, at least 1.</param>
    public static double Cumulative(double value, int freedom, double shift)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(freedom, 1);
        // √χ² has a standard deviation of about 1/√2 whatever ν is.
        var middle = Math.Sqrt(freedom);
        var (from, to) = (Math.Max(0, middle - 6), middle + 6.5);
        var norm = ((1 - (freedom / 2.0)) * Constants.Ln2) - SpecialFunctions.GammaLn(freedom / 2.0);
        double Density(double chi) => chi <= 0 ? 0 : Math.Exp(norm + ((freedom - 1) * Math.Log(chi)) - (chi * chi / 2));
        var sum = 0.0;
        const int panels = 8;
        for (var panel = 0; panel < panels; panel++)
        {
            sum += GaussLegendreRule.Integrate(
                chi => Normal.CDF(0, 1, (value * chi / middle) - shift) * Density(chi), from + ((to - from) * panel / panels), from + ((to - from) * (panel + 1) / panels), 64);
        }
        return sum;
    }
}
