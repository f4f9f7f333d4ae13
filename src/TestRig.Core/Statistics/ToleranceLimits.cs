namespace TestRig.Core.Statistics;

/// <summary>Tolerance limits of a population from some of its values: normal ones where the values may be taken for normal, else order-statistic ones (ISO 16269-6:2014).</summary>
/// <param name="Number">Values that they were found from.</param>
/// <param name="Lower">In the values' unit; null where the side is open, or where there are none.</param>
/// <param name="Upper">Null where there are none.</param>
public sealed record ToleranceLimits(ToleranceMethod Method, int Number, double? Lower, double? Upper)
{
    /// <summary>Standard deviations from the mean to a limit; null but of the normal method.</summary>
    public double? Factor { get; init; }

    /// <summary>How many values limits without an assumption about the distribution need; null where such limits were not looked for.</summary>
    public int? NumberNeeded { get; init; }

    /// <summary>The share that the values' own extremes contain with the confidence that was wanted; null where such limits were not looked for.</summary>
    public double? CoverageOfExtremes { get; init; }

    /// <param name="values">At least one.</param>
    /// <param name="rounding">How far a value may lie from what it stands for, at least 0. The limits are not widened by it.</param>
    /// <exception cref="ArgumentException">There is no value.</exception>
    public static ToleranceLimits TwoSided(IReadOnlyCollection<double> values, double rounding, ToleranceAim aim) => Of(values, rounding, aim, twoSided: true);

    /// <summary>With an upper limit only.</summary>
    /// <inheritdoc cref="TwoSided"/>
    public static ToleranceLimits Above(IReadOnlyCollection<double> values, double rounding, ToleranceAim aim) => Of(values, rounding, aim, twoSided: false);

    /// <summary>With an upper limit only, of values that are counts: no count is normal, and equal ones are no measurement's doing.</summary>
    /// <param name="counts">At least one.</param>
    /// <exception cref="ArgumentException">There is no value.</exception>
    public static ToleranceLimits AboveCounts(IReadOnlyCollection<int> counts, ToleranceAim aim) => FromOrder([.. counts.Select(count => (double)count).Order()], aim, twoSided: false);

    private static ToleranceLimits Of(IReadOnlyCollection<double> values, double rounding, ToleranceAim aim, bool twoSided)
    {
        ArgumentOutOfRangeException.ThrowIfZero(values.Count);
        double[] ordered = [.. values.Order()];
        if (ordered.Length >= NormalityTest.LeastNumber && ordered[0] == ordered[^1])
            return new(ToleranceMethod.Exact, ordered.Length, twoSided ? ordered[0] : null, ordered[^1]);
        if (!NormalityTest.MayBeNormal(ordered, rounding))
            return FromOrder(ordered, aim, twoSided);
        var spread = new RunningMean();
        foreach (var value in ordered)
            spread.Add(value);
        var factor = twoSided
            ? NormalTolerance.TwoSided(ordered.Length, aim.Coverage, aim.Confidence)
            : NormalTolerance.OneSided(ordered.Length, aim.Coverage, aim.Confidence);
        var half = factor * spread.StandardDeviation!.Value;
        return new(ToleranceMethod.Normal, ordered.Length, twoSided ? spread.Mean - half : null, spread.Mean + half) { Factor = factor };
    }

    private static ToleranceLimits FromOrder(double[] ordered, ToleranceAim aim, bool twoSided)
    {
        ArgumentOutOfRangeException.ThrowIfZero(ordered.Length);
        var sides = twoSided ? 2 : 1;
        var blocks = OrderStatisticTolerance.BlocksPermitted(ordered.Length, aim.Coverage, aim.Confidence);
        var method = blocks < sides ? ToleranceMethod.TooFew : ToleranceMethod.OrderStatistic;
        // As many of the permitted blocks below as above; an odd one stays inside.
        var rank = blocks / sides;
        return new(method, ordered.Length, twoSided && blocks >= sides ? ordered[rank - 1] : null, blocks >= sides ? ordered[^rank] : null)
        {
            NumberNeeded = OrderStatisticTolerance.NumberNeeded(sides, aim.Coverage, aim.Confidence),
            CoverageOfExtremes = ordered.Length >= sides ? OrderStatisticTolerance.Coverage(ordered.Length, sides, aim.Confidence) : null,
        };
    }
}
