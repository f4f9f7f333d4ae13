using System.Collections.Immutable;
using TestRig.Core.Boards;

namespace TestRig.Core.Scheduling;

/// <summary>Lays out exercises: what the adapter does and when.</summary>
public static class Scheduler
{
    /// <summary>
    /// Turns of one channel at a time. In motion mode a channel is followed by the one that undoes it, so that each axis ends near where it started; where
    /// multiplexers make the adapter repeat a motion, the two take turns within one turn.
    /// </summary>
    /// <param name="channels">Those to exercise; in motion mode, with each the one that undoes it.</param>
    /// <param name="repeats">How often each is exercised: once for every selection of test points.</param>
    public static ImmutableArray<TurnOrder> Singly(ImmutableArray<Channel> channels, ExerciseMode mode, int repeats)
    {
        if (mode == ExerciseMode.LogicOnly)
            return [.. channels.Select(channel => TurnOrder.Of(channel))];
        return
        [
            .. Axes(channels).SelectMany(axis => repeats > 1 || axis.Back is null
                ? new[] { axis.Back is null ? TurnOrder.Of(axis.Forth) : TurnOrder.Of(axis.Forth, axis.Back) }
                : [TurnOrder.Of(axis.Forth), TurnOrder.Of(axis.Back)]),
        ];
    }

    /// <summary>
    /// Turns of as many channels at the same time as share nothing: no test point, no pair of lines kept apart, no axis; nor has more than one of them feedback,
    /// whose pulses and contacts could pass for another's. Colours the graph of what shares
    /// something greedily, the channels with the most neighbours first (Welsh and Powell, The Computer Journal 10 (1967) 85-86).
    /// </summary>
    /// <param name="most">Lines that may be on at the same time.</param>
    /// <param name="fits">Whether a group's programs can be laid out within the lines' and the adapter's limits.</param>
    public static ImmutableArray<TurnOrder> Together(Board board, ExerciseMode mode, int most, Func<TurnOrder, bool> fits)
    {
        var axes = mode == ExerciseMode.Motion ? Axes(board.Channels) : [.. board.Channels.Select(channel => new Axis(channel, null))];
        var turns = new List<List<Axis>>();
        foreach (var axis in axes.OrderByDescending(axis => axes.Count(other => other != axis && Share(board, mode, axis, other))))
        {
            var turn = turns.Find(members => members.Count < most
                && members.TrueForAll(member => member.Forth.Line.Motion == axis.Forth.Line.Motion && !Share(board, mode, member, axis))
                && fits(OrderOf([.. members, axis])));
            if (turn is null)
                turns.Add([axis]);
            else
                turn.Add(axis);
        }
        return [.. turns.Select(OrderOf).OrderBy(turn => turn.Channels.Min(channel => board.Channels.IndexOf(channel)))];
    }

    /// <param name="analogPins">Adapter pins whose voltage can be read.</param>
    /// <param name="selections">Those of the board: each exercise comes once in each.</param>
    /// <exception cref="ArgumentException">A line's longest on-time is too short to see the command arrive.</exception>
    public static Turn Plan(
        TurnOrder order, ExerciseMode mode, ExerciseOptions options, ImmutableHashSet<string> analogPins, ImmutableArray<PointSelection> selections)
    {
        var layouts = order.Groups.Select(group => GroupLayout.Of(group, mode, options, analogPins, selections)).ToImmutableArray();
        return new([.. selections.SelectMany(selection => layouts.Select(layout => layout.Run(selection)))]);
    }

    /// <summary>Channels that move one axis, each way; a channel alone where none undoes it.</summary>
    private sealed record Axis(Channel Forth, Channel? Back)
    {
        public ImmutableArray<Channel> Channels { get; } = Back is null ? [Forth] : [Forth, Back];

        /// <summary>Names of all test points that any of its channels concerns.</summary>
        public HashSet<string> Points { get; } = [.. PointsOf(Forth), .. Back is null ? [] : PointsOf(Back)];

        private static IEnumerable<string> PointsOf(Channel channel) =>
            [channel.DrivenAt.Name, .. channel.Stages.Select(stage => stage.OutputName), .. channel.Feedback.Select(feedback => feedback.Point.Name)];
    }

    private static ImmutableArray<Axis> Axes(ImmutableArray<Channel> channels)
    {
        var axes = ImmutableArray.CreateBuilder<Axis>();
        var taken = new HashSet<Channel>();
        foreach (var channel in channels.Where(taken.Add))
            axes.Add(new(channel, channels.FirstOrDefault(other => other.Name == channel.UndoneBy && taken.Add(other))));
        return axes.ToImmutable();
    }

    private static TurnOrder OrderOf(IReadOnlyCollection<Axis> axes)
    {
        ImmutableArray<Channel> forth = [.. axes.Select(axis => axis.Forth)], back = [.. axes.Select(axis => axis.Back).OfType<Channel>()];
        return new(back.IsEmpty ? [forth] : [forth, back]);
    }

    private static bool Share(Board board, ExerciseMode mode, Axis one, Axis other) =>
        one.Points.Overlaps(other.Points)
        || one.Channels.Any(first => other.Channels.Any(second =>
            first.Line == second.Line
            || board.KeptApart.Any(pair => (pair.First == first.Line && pair.Second == second.Line) || (pair.First == second.Line && pair.Second == first.Line))
            || (GivesFeedback(first, mode) && GivesFeedback(second, mode))));

    private static bool GivesFeedback(Channel channel, ExerciseMode mode) => !channel.Feedback.IsEmpty && (mode == ExerciseMode.Motion || !channel.Line.Motion);
}
