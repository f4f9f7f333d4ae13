using System.Collections.Immutable;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Comparing;

/// <summary>Two runs of a board: what changed, what of it is significant given the uncertainties, and what is not.</summary>
/// <param name="Channels">That both boards have, in the later one's order.</param>
/// <param name="OnlyBefore">Channels of the earlier run that the later one's board does not have.</param>
/// <param name="OnlyAfter">Channels of the later run that the earlier one's board does not have.</param>
public sealed record RunComparison(RunFigures Before, RunFigures After, ImmutableArray<ChannelChange> Channels, ImmutableArray<string> OnlyBefore, ImmutableArray<string> OnlyAfter)
{
    /// <summary>Chance alone calls anything of two equal runs different in fewer than one of 20 comparisons.</summary>
    private const double Risk = 1 - SoakConfidence.Share;

    public bool AnyWorse => Channels.Any(channel => channel.Overall == Standing.Worse);

    /// <summary>A channel of which it cannot be said whether it is as good as before.</summary>
    public bool AnyUndecided => Channels.Any(channel => channel.Standing == Standing.Undecided) || !OnlyBefore.IsEmpty;

    public bool SameMode => Before.Run.Heading.Mode == After.Run.Heading.Mode;

    /// <summary>Of both runs, in the order in which they were written.</summary>
    public IEnumerable<RunNote> Notes => Before.Run.Notes.Concat(After.Run.Notes).OrderBy(note => note.At);

    public static RunComparison Of(RunFigures before, RunFigures after)
    {
        var earlier = before.Tally.Channels.ToDictionary(channel => channel.Channel);
        var both = after.Tally.Channels.Where(channel => earlier.ContainsKey(channel.Channel)).ToList();
        // Each question gets its share of the risk (Bonferroni), so that a hundred of them do not find by chance what one would not.
        var keys = after.Figures.Keys.Where(before.Figures.ContainsKey).ToHashSet();
        var share = Risk / Math.Max(1, keys.Count + both.Count);
        return new(
            before, after,
            [.. both.Select(channel => ChannelOf(earlier[channel.Channel], channel, before, after, share))],
            [.. earlier.Keys.Where(name => !both.Exists(channel => channel.Channel == name))],
            [.. after.Tally.Channels.Select(channel => channel.Channel).Where(name => !earlier.ContainsKey(name))]);
    }

    private static ChannelChange ChannelOf(ChannelTally earlier, ChannelTally later, RunFigures before, RunFigures after, double risk)
    {
        var (standing, probability) = ChannelChange.ConditionOf(earlier, later, risk);
        var series = after.Tally.Series.Select(figure => figure.Key).Concat(before.Tally.Series.Select(figure => figure.Key)).Where(key => key.Channel == later.Channel).Distinct().ToList();
        return new(
            earlier, later, standing, probability,
            [.. series.Where(key => before.Figures.ContainsKey(key) && after.Figures.ContainsKey(key)).Select(key => FigureChange.Of(before.Figures[key], after.Figures[key], risk))],
            [.. series.Where(key => before.Figures.ContainsKey(key) != after.Figures.ContainsKey(key)).Select(SoakWords.NameInChannel)]);
    }
}
