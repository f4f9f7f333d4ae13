using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Statistics;

namespace TestRig.Core.Trials;

/// <summary>Parts of one delivery beside each other.</summary>
/// <param name="Outliers">Values that lie far from the others, in the order of the parts.</param>
/// <param name="TransferRatio">Limits of the delivery's transfer ratio, as fractions; null where too few were measured.</param>
/// <param name="Suspicions">What the parts together say against their being one type from one source. Suspicions: nothing of it is proved here.</param>
public sealed record BatchTrial(ImmutableArray<PartTrial> Parts, ImmutableArray<Outlier> Outliers, ToleranceLimits? TransferRatio, ImmutableArray<string> Suspicions)
{
    /// <summary>Each of two groups has at least so many parts: fewer are outliers.</summary>
    private const int LeastGroup = 2;

    /// <summary>Two groups lie apart by so many times the larger of their own ranges, and of the uncertainty (common practice).</summary>
    private const double GapOverRange = 2;

    /// <summary>What the tolerance limits of the transfer ratio are to hold.</summary>
    public static ToleranceAim Aim { get; } = new(0.9, 0.95);

    public TrialVerdict Verdict =>
        Parts.Any(part => part.Verdict == TrialVerdict.Violates) ? TrialVerdict.Violates
        : Parts.IsEmpty || Parts.Any(part => part.Verdict == TrialVerdict.NotResolved) ? TrialVerdict.NotResolved
        : TrialVerdict.Conforms;

    public static BatchTrial Of(ImmutableArray<PartTrial> parts)
    {
        ImmutableArray<Outlier> outliers = [.. Enum.GetValues<TrialFigure>().SelectMany(figure => OutliersOf(parts, figure)).OrderBy(outlier => outlier.Number)];
        var ratios = Measured(parts, TrialFigure.TransferRatio);
        var limits = ratios.Length < 2
            ? null
            : ToleranceLimits.TwoSided([.. ratios.Select(one => one.Value.Value)], ModifiedZScore.Median([.. ratios.Select(one => one.Value.StandardUncertainty)]), Aim);
        return new(parts, outliers, limits, [.. Doubts(parts)]);
    }

    private static ImmutableArray<(int Number, Estimate Value)> Measured(ImmutableArray<PartTrial> parts, TrialFigure figure) =>
        [.. parts.Select(part => (part.Number, part[figure].Value)).Where(one => one.Value is { AtLeast: false }).Select(one => (one.Number, one.Value!))];

    private static IEnumerable<Outlier> OutliersOf(ImmutableArray<PartTrial> parts, TrialFigure figure)
    {
        var measured = Measured(parts, figure);
        double[] values = [.. measured.Select(one => one.Value.Value)];
        if (values.Length < ModifiedZScore.LeastNumber || ModifiedZScore.Of(values) is not { } scores)
            yield break;
        var middle = ModifiedZScore.Median(values);
        for (var i = 0; i < values.Length; i++)
        {
            // What the measurement alone explains is no property of the part.
            if (Math.Abs(scores[i]) > ModifiedZScore.Limit && Math.Abs(values[i] - middle) > measured[i].Value.Expanded)
                yield return new(measured[i].Number, figure, scores[i]);
        }
    }

    private static IEnumerable<string> Doubts(ImmutableArray<PartTrial> parts)
    {
        if (parts.Length > 1 && parts.Count(part => !part.Suspicions.IsEmpty) is > 0 and var doubted)
            yield return string.Create(CultureInfo.InvariantCulture, $"{doubted} of {parts.Length} parts {(doubted == 1 ? "is" : "are")} under suspicion by {(doubted == 1 ? "itself" : "themselves")}");
        if (TwoGroups(Measured(parts, TrialFigure.TransferRatio)) is var (low, high))
        {
            yield return string.Create(
                CultureInfo.InvariantCulture,
                $"two groups by transfer ratio, {low.Length} parts up to {low[^1] * 100:0} % and {high.Length} from {high[0] * 100:0} %: parts of two types or two sources in one delivery");
        }
    }

    /// <summary>The values on both sides of their widest gap, where both sides are groups; null where they are not.</summary>
    private static (double[] Low, double[] High)? TwoGroups(ImmutableArray<(int Number, Estimate Value)> measured)
    {
        double[] values = [.. measured.Select(one => one.Value.Value).Order()];
        if (values.Length < 2 * LeastGroup)
            return null;
        var split = Enumerable.Range(1, values.Length - 1).MaxBy(index => values[index] - values[index - 1]);
        var (low, high) = (values[..split], values[split..]);
        var within = Math.Max(Math.Max(low[^1] - low[0], high[^1] - high[0]), measured.Max(one => one.Value.Expanded));
        return low.Length >= LeastGroup && high.Length >= LeastGroup && high[0] - low[^1] > GapOverRange * within ? (low, high) : null;
    }
}

/// <summary>A value far from those of the other parts.</summary>
/// <param name="Number">Of the part.</param>
/// <param name="Score">Its modified z-score; beyond ±<see cref="ModifiedZScore.Limit"/>.</param>
public sealed record Outlier(int Number, TrialFigure Figure, double Score);
