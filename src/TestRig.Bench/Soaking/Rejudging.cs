using System.Collections.Immutable;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Judging;

namespace TestRig.Bench.Soaking;

/// <summary>Judges a kept cycle again, by its own profile or a changed one.</summary>
public static class Rejudging
{
    /// <summary>Of a channel of which nothing says why.</summary>
    internal const string NotExercised = "Not exercised in this cycle.";

    /// <param name="board">By whose profile; channels that it does not have are not in the result, and those that were not exercised then are not tested.</param>
    /// <param name="cycle">What was told of it then: why a channel was not exercised.</param>
    /// <param name="watchedIdle">The cycle watched idle lines: nothing was commanded.</param>
    public static ImmutableArray<ChannelResult> Of(Board board, KeptCycle kept, CycleRecord cycle, bool watchedIdle) =>
    [
        .. board.Channels.Select(channel => kept.Records.FirstOrDefault(record => record.Exercise.Channel.Name == channel.Name) is not { } record
            ? ChannelResult.NotExercised(channel, cycle.Channels.FirstOrDefault(told => told.Channel == channel.Name)?.Summary ?? NotExercised)
            : !watchedIdle && record.Captures.Any(capture => capture.Find(channel.DrivenAt.Name) is null)
            ? ChannelResult.NotExercised(channel, $"Its captures do not show {channel.DrivenAt.Name}, where by this profile the command enters: it was another point then.")
            : watchedIdle ? IdleJudge.Judge(channel, record.Exercise.Mode, record.Captures) : ChannelJudge.Judge(board, record)),
    ];
}
