using MathNet.Numerics.Distributions;

namespace TestRig.Core.Statistics;

/// <summary>
/// Bounds of the mean time between failures that come at a constant rate, by the χ² distribution (NIST/SEMATECH e-Handbook 8.4.5.1; their inverses are the limits of a Poisson rate of Garwood, Biometrika 28 (1936)
/// 437-442: value from memory). They are for a test that a time ends (time-terminated): the lower bound has 2r + 2 degrees of freedom. Of a test that its last failure ends (failure-terminated) the lower bound has
/// 2r; the one given here then is the smaller, thus on the safe side. Time may be hours or cycles: the bounds are in the same unit.
/// </summary>
public static class MeanTimeBetweenFailures
{
    /// <summary>The one-sided lower bound 2T / χ²(confidence; 2r + 2); of no failure it is T / −ln(1 − confidence).</summary>
    /// <param name="failures">r, at least 0.</param>
    /// <param name="time">T, under test in all, above 0 and finite.</param>
    /// <param name="confidence">Above 0 and below 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">One of them is outside its range.</exception>
    public static double AtLeast(long failures, double time, double confidence)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(failures);
        if (time is not (> 0 and < double.PositiveInfinity))
            throw new ArgumentOutOfRangeException(nameof(time), time, "A time under test is above 0 and finite.");
        Share.Check(confidence, nameof(confidence));
        return 2 * time / ChiSquared.InvCDF((2.0 * failures) + 2, confidence);
    }

    /// <summary>The two-sided interval, half of the risk at each end: the upper one is 2T / χ²((1 − confidence) / 2; 2r), and null of no failure, when nothing limits it.</summary>
    /// <inheritdoc cref="AtLeast"/>
    public static (double Lower, double? Upper) Between(long failures, double time, double confidence)
    {
        Share.Check(confidence, nameof(confidence));
        return (AtLeast(failures, time, (1 + confidence) / 2), failures == 0 ? null : 2 * time / ChiSquared.InvCDF(2.0 * failures, (1 - confidence) / 2));
    }
}
