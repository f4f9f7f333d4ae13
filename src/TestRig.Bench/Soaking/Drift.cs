using TestRig.Core.Statistics;

namespace TestRig.Bench.Soaking;

/// <summary>A figure that goes somewhere.</summary>
/// <param name="CrossesUpper">The limit that it comes to is the upper one; false for the lower.</param>
/// <param name="Crossing">When it crosses that limit if it goes on so, in hours from the start of the run; null where it comes to none.</param>
public sealed record Drift(SeriesTally Series, Trend Trend, bool CrossesUpper, LimitCrossing? Crossing)
{
    /// <summary>
    /// The figures of a run that drift, those that come to a limit soonest in front. Among many that stand still some seem to go by chance: each is held to a share of the risk of 5 % (Bonferroni).
    /// </summary>
    public static IReadOnlyList<Drift> Of(SoakTally tally)
    {
        var risk = (1 - SoakConfidence.Share) / Math.Max(1, tally.Series.Count);
        return
        [
            .. tally.Series
                .Select(series => (series, series.Trend))
                .Where(entry => entry.Trend is { } trend && trend.Test.Probability < risk)
                .Select(entry => Towards(entry.series, entry.Trend!))
                .OrderBy(drift => drift.Crossing?.At ?? double.PositiveInfinity),
        ];
    }

    private static Drift Towards(SeriesTally series, Trend trend)
    {
        var upper = trend.Line.Slope > 0;
        var crossing = upper ? (series.Highest is { } highest ? trend.OverUpper(highest) : null) : series.Lowest is { } lowest ? trend.UnderLower(lowest) : null;
        return new(series, trend, upper, crossing);
    }
}
