using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Scheduling;

/// <summary>Lays out exercises: what the adapter does and when.</summary>
public static class Scheduler
{
    /// <summary>
    /// Order of the channels in a sweep. In motion mode a channel is followed by the one that undoes it, so that each axis ends near where it
    /// started.
    /// </summary>
    public static ImmutableArray<Channel> Order(Board board, ExerciseMode mode)
    {
        if (mode == ExerciseMode.LogicOnly)
            return board.Channels;
        var order = ImmutableArray.CreateBuilder<Channel>();
        foreach (var channel in board.Channels)
        {
            if (order.Contains(channel))
                continue;
            order.Add(channel);
            if (board.Channels.FirstOrDefault(other => other.Name == channel.UndoneBy) is { } back && !order.Contains(back))
                order.Add(back);
        }
        return order.ToImmutable();
    }

    /// <summary>
    /// Plans the exercise of one channel. Levels of its analog points are read once in the active state and once idle again; in motion mode only
    /// idle again, since reading levels leaves a gap in which pulses would be missed. A line that moves nothing is exercised in logic-only mode always.
    /// </summary>
    /// <param name="analogPins">Adapter pins whose voltage can be read.</param>
    /// <exception cref="ArgumentException">The line's longest on-time is too short to see the command arrive.</exception>
    public static Exercise Plan(Channel channel, ExerciseMode mode, ExerciseOptions options, ImmutableHashSet<string> analogPins)
    {
        var measured = channel.Stages
            .Select(stage => stage.Output?.AdapterPin)
            .OfType<string>()
            .Where(analogPins.Contains)
            .Distinct()
            .ToImmutableArray();
        var measuring = options.SampleTime * (options.Samples * measured.Length);
        var onAt = Duration.Max(options.LeadIn, options.Seeing);
        var on = new LinesStep(onAt, [channel.Line.AdapterPin]);
        return mode == ExerciseMode.LogicOnly || !channel.Line.Motion
            ? PlanLogic(channel, options, on, measured, measuring)
            : PlanMotion(channel, options, on, measured, measuring);
    }

    private static Exercise PlanLogic(
        Channel channel, ExerciseOptions options, LinesStep on, ImmutableArray<string> measured, Duration measuring)
    {
        var afterReading = measured.IsEmpty ? Duration.Zero : measuring + options.Margin;
        // The device counts the on-time itself: stay clear of its limit by a margin.
        var room = channel.Line.LongestOn - afterReading - options.Margin;
        var needed = SlowestArrival(channel) + options.Seeing;
        var wanted = Duration.Max(options.Observe, needed);
        var observe = room < wanted ? room : wanted;
        if (observe < needed)
        {
            throw new ArgumentException(
                $"Line '{channel.Line.Name}' may be on for {channel.Line.LongestOn} at most; to see the command arrive and read its levels takes {needed + afterReading + options.Margin}{(options.Seeing > Duration.Zero ? $", of which {options.Seeing} because this adapter looks so seldom" : "")}. Raise longest-on if the machine allows it{(options.Seeing > Duration.Zero ? ", close other programs, or use an adapter with our own firmware" : "")}.");
        }

        var offAt = on.At + observe + afterReading;
        var steps = ImmutableArray.CreateBuilder<StimulusStep>();
        steps.Add(on);
        if (!measured.IsEmpty)
            steps.Add(new MeasureStep(on.At + observe, measured, options.Samples));
        steps.Add(new LinesStep(offAt, []));
        var end = offAt + Duration.Max(options.Observe, needed);
        end = AddFinalReading(steps, options, measured, measuring, end);
        return new(channel, ExerciseMode.LogicOnly, new(steps.ToImmutable(), end), on.At, offAt);
    }

    private static Exercise PlanMotion(
        Channel channel, ExerciseOptions options, LinesStep on, ImmutableArray<string> measured, Duration measuring)
    {
        if (options.Seeing > Duration.Zero && channel.MotionOn < SlowestArrival(channel) + options.Seeing)
        {
            throw new ArgumentException(
                $"Channel '{channel.Name}' moves for {channel.MotionOn}; this adapter looks so seldom that it needs {SlowestArrival(channel) + options.Seeing} to see the command arrive. Close other programs, use an adapter with our own firmware, or raise motion-on if the machine allows it.");
        }
        var offAt = on.At + channel.MotionOn;
        var steps = ImmutableArray.CreateBuilder<StimulusStep>();
        steps.Add(on);
        steps.Add(new LinesStep(offAt, []));
        var end = AddFinalReading(steps, options, measured, measuring, offAt + Duration.Max(options.Coast, SlowestArrival(channel) + options.Seeing));
        return new(channel, ExerciseMode.Motion, new(steps.ToImmutable(), end), on.At, offAt);
    }

    private static Duration AddFinalReading(
        ImmutableArray<StimulusStep>.Builder steps,
        ExerciseOptions options,
        ImmutableArray<string> measured,
        Duration measuring,
        Duration at)
    {
        if (measured.IsEmpty)
            return at;
        steps.Add(new MeasureStep(at, measured, options.Samples));
        return at + measuring + options.Margin;
    }

    /// <summary>Ten times the latest permitted arrival at the last stage: a part ten times too slow is still seen as slow, not as dead.</summary>
    private static Duration SlowestArrival(Channel channel)
    {
        var latest = Duration.Zero;
        foreach (var stage in channel.Stages)
            latest += Duration.Max(stage.Rise.Latest, stage.Fall.Latest) + (stage.Bounce?.Within ?? Duration.Zero);
        return latest * 10;
    }
}
