using MathNet.Numerics.Distributions;

namespace TestRig.Core.Statistics;

/// <summary>
/// What share of a population may have a property that some of a sample have, by the binomial distribution itself (Clopper and Pearson, Biometrika 26 (1934) 404-413: value from memory).
/// </summary>
public static class ExactShare
{
    /// <summary>
    /// The one-sided upper limit: with a larger share, so few of the sample would have it with a probability below 1 − <paramref name="confidence"/>. Of 0 among n it is 1 − (1 − confidence)^(1/n), about 3/n
    /// for 95 % (the rule of three).
    /// </summary>
    /// <param name="have">0..<paramref name="number"/>.</param>
    /// <param name="number">At least 1.</param>
    /// <param name="confidence">Above 0 and below 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">One of them is outside its range.</exception>
    public static double AtMost(int have, int number, double confidence)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(number, 1);
        ArgumentOutOfRangeException.ThrowIfNegative(have);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(have, number);
        Share.Check(confidence, nameof(confidence));
        return have == number ? 1
            : have == 0 ? 1 - Math.Exp(Math.Log(1 - confidence) / number)
            : Beta.InvCDF(have + 1.0, number - have, confidence);
    }
}
