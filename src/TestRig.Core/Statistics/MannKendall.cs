namespace TestRig.Core.Statistics;

/// <summary>
/// Whether values tend upwards or downwards, whatever their distribution and the shape of the tendency (Mann, Econometrica 13 (1945) 245-259; Kendall, Rank Correlation Methods (1975): values from memory). The
/// plain variance presumes that the values are independent but for the tendency; <see cref="HamedRao"/> has the factor for those that are not.
/// </summary>
/// <param name="Score">S: pairs of which the later value is larger, less those of which it is smaller.</param>
/// <param name="Variance">Of the score where there is no tendency, at least 0.</param>
public sealed record MannKendall(long Score, double Variance)
{
    /// <summary>Z, about standard normal where there is no tendency: the score, one nearer to 0 (continuity correction), in its standard deviations.</summary>
    public double Deviate => Score == 0 ? 0 : (Score - Math.Sign(Score)) / Math.Sqrt(Variance);

    /// <summary>How often so large a score in either direction comes without a tendency, 0..1.</summary>
    public double Probability => TwoSided.Probability(Deviate);

    /// <summary>With the plain variance, ties allowed for: (n(n − 1)(2n + 5) − Σ t(t − 1)(2t + 5)) / 18, over groups of t equal values. In O(n log n).</summary>
    /// <param name="values">In the order of their time; any number.</param>
    /// <exception cref="ArgumentException">A value is not a number.</exception>
    public static MannKendall Of(IReadOnlyCollection<double> values)
    {
        double[] sorted = [.. values];
        if (sorted.Any(double.IsNaN))
            throw new ArgumentException("What is not a number has no order.", nameof(values));
        var falling = SortCountingFalls(sorted, new double[sorted.Length]);
        var (different, variance) = (Pairs(sorted.Length), VarianceTerm(sorted.Length));
        for (int from = 0, to = 0; from < sorted.Length; from = to)
        {
            while (to < sorted.Length && sorted[to] == sorted[from])
                to++;
            different -= Pairs(to - from);
            variance -= VarianceTerm(to - from);
        }
        return new(different - (2 * falling), variance / 18);
    }

    private static long Pairs(long number) => number * (number - 1) / 2;

    private static double VarianceTerm(double number) => number * (number - 1) * ((2 * number) + 5);

    /// <summary>Sorts by merging; the number of pairs of which the later value was smaller.</summary>
    private static long SortCountingFalls(Span<double> values, Span<double> room)
    {
        if (values.Length < 2)
            return 0;
        var half = values.Length / 2;
        var falls = SortCountingFalls(values[..half], room[..half]) + SortCountingFalls(values[half..], room[half..]);
        values.CopyTo(room);
        var (left, right) = (0, half);
        for (var i = 0; i < values.Length; i++)
        {
            if (right == values.Length || (left < half && room[left] <= room[right]))
            {
                values[i] = room[left++];
            }
            else
            {
                values[i] = room[right++];
                falls += half - left;
            }
        }
        return falls;
    }
}
