using System.Collections.Immutable;
using TestRig.Bench.Soaking;
using TestRig.Core.Judging;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Comparing;

/// <summary>One channel in both runs.</summary>
/// <param name="Standing">Of its condition; each of its figures has its own.</param>
/// <param name="Probability">How often chance alone divides the failing cycles so unevenly over both runs (Fisher's exact test, one-sided); null where that is not the question.</param>
/// <param name="Figures">That both runs measured.</param>
/// <param name="OnlyOnce">Names of figures that one of the runs measured only.</param>
public sealed record ChannelChange(ChannelTally Before, ChannelTally After, Standing Standing, double? Probability, ImmutableArray<FigureChange> Figures, ImmutableArray<string> OnlyOnce)
{
    public string Channel => After.Channel;

    /// <summary>Of the condition and the figures together.</summary>
    public Standing Overall => Figures.Select(figure => figure.Standing).Append(Standing).Aggregate((one, other) => (one, other) switch
    {
        (Standing.Worse, _) or (_, Standing.Worse) => Standing.Worse,
        (Standing.Better, _) or (_, Standing.Better) => Standing.Better,
        (Standing.Changed, _) or (_, Standing.Changed) => Standing.Changed,
        // A figure that could not be compared leaves a channel of which the rest is the same as it is.
        _ => Standing,
    });

    /// <param name="risk">Of calling equally good channels different by chance, above 0 and below 1.</param>
    public static (Standing Standing, double? Probability) ConditionOf(ChannelTally before, ChannelTally after, double risk)
    {
        if (before.Judged == 0 || after.Judged == 0)
            return (Standing.Undecided, null);
        if (before.Failures == 0 && after.Failures == 0)
            return (Standing.Same, null);
        // It failed whenever one looked, or never: no share to compare.
        if (IsAlways(before) && IsAlways(after))
            return (MostOften(before) == MostOften(after) ? Standing.Same : Standing.Changed, null);
        if (IsAlways(before) && after.Failures == 0)
            return (Standing.Better, null);
        if (before.Failures == 0 && IsAlways(after))
            return (Standing.Worse, null);
        var worse = FisherExact.Probability(after.Failures, after.Judged, before.Failures, before.Judged);
        var better = FisherExact.Probability(before.Failures, before.Judged, after.Failures, after.Judged);
        return worse < risk ? (Standing.Worse, worse) : better < risk ? (Standing.Better, better) : (Standing.Undecided, Math.Min(worse, better));
    }

    /// <summary>What it was in most of the cycles in which it failed.</summary>
    internal static Condition MostOften(ChannelTally channel) => channel.Conditions.MaxBy(entry => entry.Value).Key;

    private static bool IsAlways(ChannelTally channel) => channel.Failures == channel.Judged;
}
