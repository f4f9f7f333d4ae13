using MathNet.Numerics;

namespace TestRig.Core.Statistics;

/// <summary>
/// Whether two samples differ in the share that has something, whatever their sizes: how often chance alone divides those that have it so unevenly (Fisher's exact test, one-sided; The Design of Experiments, 1935: value from
/// memory). Exact, also where few or none have it.
/// </summary>
public static class FisherExact
{
    /// <summary>The probability, where both have it equally often, that the first sample gets so many of them or more: the upper tail of the hypergeometric distribution.</summary>
    /// <param name="have">Of the first sample, 0..<paramref name="number"/>.</param>
    /// <param name="number">Of the first sample, at least 1.</param>
    /// <param name="otherHave">Of the other one.</param>
    /// <param name="otherNumber">At least 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">One of them is outside its range.</exception>
    public static double Probability(long have, long number, long otherHave, long otherNumber)
    {
        Check(have, number);
        Check(otherHave, otherNumber);
        var all = have + otherHave;
        var most = Math.Min(all, number);
        var whole = LogChoices(number + otherNumber, all);
        var sum = 0.0;
        // From the far end, where the terms are smallest.
        for (var i = most; i >= have; i--)
            sum += Math.Exp(LogChoices(number, i) + LogChoices(otherNumber, all - i) - whole);
        return Math.Min(1, sum);
    }

    private static void Check(long have, long number)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(number, 1);
        ArgumentOutOfRangeException.ThrowIfNegative(have);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(have, number);
    }

    private static double LogChoices(long from, long choose) =>
        choose < 0 || choose > from ? double.NegativeInfinity : SpecialFunctions.GammaLn(from + 1.0) - SpecialFunctions.GammaLn(choose + 1.0) - SpecialFunctions.GammaLn(from - choose + 1.0);
}
