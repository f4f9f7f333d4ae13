namespace TestRig.Core.Statistics;

/// <summary>
/// Where a series of points is going, its neighbouring points' likeness allowed for: Theil and Sen's slope with a 95 % interval, and Mann and Kendall's test at the 5 % level. Both by the variance of Hamed and Rao
/// where it is larger than the plain one, never by a smaller one: among hundreds of lags some are significant by chance, and they would find a trend in one of ten series of independent values. Not all of the
/// likeness is found: where 256 neighbouring points have a correlation of 0.6, about one series of six still has a trend by chance (one of three by the plain variance).
/// </summary>
/// <param name="SlopeAtLeast">Lower end of the slope's interval; may be −∞ of few points.</param>
/// <param name="SlopeAtMost">Upper end; may be ∞ of few points.</param>
public sealed record Trend(TheilSen Line, MannKendall Test, double SlopeAtLeast, double SlopeAtMost)
{
    /// <summary>Fewer points tell nothing: the score's distribution is not near enough to the normal one (Gilbert 1987, 16.4: value from memory).</summary>
    public const int LeastNumber = 10;

    private const double Confidence = 0.95;

    /// <summary>Chance alone makes such a trend in less than one of 20 series.</summary>
    public bool IsSignificant => Test.Probability < 1 - Confidence;

    /// <summary>Null of fewer than <see cref="LeastNumber"/> points.</summary>
    /// <param name="points">At most <see cref="TheilSen.MostPoints"/>, strictly ascending in time and about evenly spaced, as <see cref="BlockMeans"/> has them.</param>
    /// <exception cref="ArgumentException">They are too many or not ascending.</exception>
    public static Trend? Of(IReadOnlyList<TimedValue> points)
    {
        if (points.Count < LeastNumber)
            return null;
        var line = TheilSen.Of(points);
        var plain = MannKendall.Of([.. points.Select(point => point.Value)]);
        var factor = HamedRao.VarianceFactor([.. points.Select(point => point.Value - (line.Slope * point.Time))]);
        var test = plain with { Variance = plain.Variance * Math.Max(1, factor) };
        var (lower, upper) = line.Interval(Confidence, test.Variance);
        return new(line, test, lower, upper);
    }

    /// <summary>When the values will be too large. Null when the trend is not significant or does not rise.</summary>
    /// <param name="limit">In the values' unit.</param>
    public LimitCrossing? OverUpper(double limit) => Line.Slope > 0 ? Crossing(limit, SlopeAtMost) : null;

    /// <summary>When the values will be too small. Null when the trend is not significant or does not fall.</summary>
    /// <inheritdoc cref="OverUpper"/>
    public LimitCrossing? UnderLower(double limit) => Line.Slope < 0 ? Crossing(limit, SlopeAtLeast) : null;

    private LimitCrossing? Crossing(double limit, double steepest)
    {
        if (!IsSignificant)
            return null;
        var missing = limit - Line.Middle.Value;
        var at = Line.Middle.Time + (missing / Line.Slope);
        return new(at, Math.Min(at, Line.Middle.Time + (missing / steepest)));
    }
}
