namespace TestRig.Core.Statistics;

/// <summary>
/// Whether failures come at a constant rate: Laplace's test, the mean of their instants against the middle of the time observed (Ascher and Feingold, Repairable Systems Reliability (1984): value from memory).
/// </summary>
/// <param name="Deviate">U, standard normal at a constant rate. Positive: the failures lie closer together at the end, it gets worse.</param>
public sealed record LaplaceTrend(double Deviate)
{
    /// <summary>Failures that must count: from so many on, the mean of uniform instants is as good as normal at the 5 % level (value from memory).</summary>
    public const int LeastNumber = 4;

    /// <summary>How often a constant rate alone gives so large a trend in either direction, 0..1.</summary>
    public double Probability => TwoSided.Probability(Deviate);

    /// <summary>
    /// Null when fewer than <see cref="LeastNumber"/> count. A failure right at the end of the time ended the observation (failure-terminated): it says where the time ends and nothing of its middle, so it is
    /// not counted. Otherwise the end was chosen (time-terminated), and all count.
    /// </summary>
    /// <param name="instants">Of the failures, from the start of the observation, in any order and unit; above 0 and at most <paramref name="span"/>.</param>
    /// <param name="span">The time observed, in the same unit.</param>
    /// <exception cref="ArgumentOutOfRangeException">An instant is outside the time observed, or that is not finite.</exception>
    public static LaplaceTrend? Of(IReadOnlyCollection<double> instants, double span)
    {
        if (!double.IsFinite(span))
            throw new ArgumentOutOfRangeException(nameof(span), span, "The time observed is finite.");
        foreach (var instant in instants)
        {
            if (!(instant > 0 && instant <= span))
                throw new ArgumentOutOfRangeException(nameof(instants), instant, "A failure lies within the time observed.");
        }
        var ending = instants.Contains(span) ? 1 : 0;
        return OfSum(instants.Count - ending, instants.Sum() - (ending * span), span);
    }

    /// <summary>The same of failures of which only the number and the sum of instants were kept, none of them at the end of the time (time-terminated).</summary>
    /// <param name="sum">Of their instants, from 0 to <paramref name="number"/> times <paramref name="span"/>.</param>
    public static LaplaceTrend? OfSum(long number, double sum, double span)
    {
        if (number < LeastNumber)
            return null;
        if (!double.IsFinite(span) || !(sum >= 0 && sum <= number * span))
            throw new ArgumentOutOfRangeException(nameof(sum), sum, "Failures lie within the time observed, which is finite.");
        return new(((sum / number / span) - 0.5) * Math.Sqrt(12.0 * number));
    }
}
