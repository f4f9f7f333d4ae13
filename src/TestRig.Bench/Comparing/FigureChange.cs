using TestRig.Bench.Storage;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Comparing;

/// <summary>One figure in both runs. In the unit of its kind.</summary>
/// <param name="HalfWidth">
/// So far from the difference of the means the true one may lie: both guard bands, and what the scatter leaves open. Summed, not as the root of squares, for the guard bands are bounds and no random draws. Null where it is not known.
/// </param>
/// <param name="Nearer">It came nearer to a limit; null where it has none.</param>
public sealed record FigureChange(FigureEstimate Before, FigureEstimate After, Standing Standing, double? HalfWidth, bool? Nearer)
{
    public FigureKey Key => After.Key;

    public double Difference => After.Mean - Before.Mean;

    /// <summary>A figure that has lost more than this share of its room to a limit is called worse, one that lost less only changed: parts of one type differ.</summary>
    internal const double RoomKept = 0.5;

    /// <param name="risk">Of calling equal ones different by chance, above 0 and below 1.</param>
    public static FigureChange Of(FigureEstimate before, FigureEstimate after, double risk)
    {
        var width = HalfWidthOf(before, after, risk);
        var (roomBefore, roomAfter) = (Room(before.Mean, after), Room(after.Mean, after));
        var standing = width is not { } half ? Standing.Undecided
            : Math.Abs(after.Mean - before.Mean) <= half ? Standing.Same
            : roomAfter < roomBefore && roomAfter < RoomKept * roomBefore ? Standing.Worse
            : roomBefore < roomAfter && roomBefore < RoomKept * roomAfter ? Standing.Better
            : Standing.Changed;
        return new(before, after, standing, width, roomBefore is null ? null : roomAfter < roomBefore);
    }

    private static double? HalfWidthOf(FigureEstimate before, FigureEstimate after, double risk)
    {
        if (before.Guard + after.Guard is not { } guards)
            return null;
        if (ScatterOf(before, after) is not { } one || ScatterOf(after, before) is not { } other)
            return after.Varies ? null : guards;
        return guards + MeanDifference.Of(one, other).HalfWidth(risk);
    }

    /// <summary>Of a single cycle, the scatter is taken to be that of the other run; null where neither has any.</summary>
    private static BatchMean? ScatterOf(FigureEstimate figure, FigureEstimate other) => figure.Scatter
        ?? (other is { Scatter: { } scatter, Spread: { } spread } ? new(figure.Mean, spread / Math.Sqrt(figure.Cycles), scatter.Degrees) : null);

    /// <summary>From a value to the nearest limit; below 0 beyond it, and null without one. Delays and the like have no lower one at 0.</summary>
    private static double? Room(double value, FigureEstimate limits) => (limits.Lowest, limits.Highest) switch
    {
        (null or <= 0, null) => null,
        (null or <= 0, { } highest) => highest - value,
        ({ } lowest, null) => value - lowest,
        ({ } lowest, { } highest) => Math.Min(value - lowest, highest - value),
    };
}
