using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Scheduling;

/// <summary>
/// The exercises of channels that run at the same time, laid out in time: the lines go on one after the other, each when everything that the one before it
/// may do is over, so that two channels which are bridged cannot pass for two that work.
/// </summary>
internal sealed class GroupLayout
{
    private readonly ExerciseOptions _options;
    private readonly ImmutableArray<(Duration At, string Pin, bool On)> _switching;
    private readonly ImmutableArray<Duration> _readAt;
    private readonly ImmutableHashSet<string> _read;
    private readonly Duration _length;
    private readonly ImmutableArray<Exercise> _exercises;

    private GroupLayout(
        ExerciseOptions options,
        ImmutableArray<(Duration At, string Pin, bool On)> switching,
        ImmutableArray<Duration> readAt,
        ImmutableHashSet<string> read,
        Duration length,
        ImmutableArray<Exercise> exercises) =>
        (_options, _switching, _readAt, _read, _length, _exercises) = (options, switching, readAt, read, length, exercises);

    /// <summary>
    /// Levels of analog points are read once in the active state and once idle again; in motion mode only idle again, since reading levels leaves a gap in
    /// which pulses would be missed. A line that moves nothing is exercised as in logic-only mode always.
    /// </summary>
    /// <param name="group">All of them move something, or none.</param>
    /// <exception cref="ArgumentException">A line's longest on-time is too short to see the command arrive.</exception>
    public static GroupLayout Of(
        ImmutableArray<Channel> group, ExerciseMode mode, ExerciseOptions options, ImmutableHashSet<string> analogPins, ImmutableArray<PointSelection> selections)
    {
        // The slowest last: nobody has to wait for it.
        ImmutableArray<Channel> channels = [.. group.OrderBy(channel => channel.LatestArrival)];
        var outputs = channels.SelectMany(channel => channel.Stages).Select(stage => stage.OutputName).ToHashSet();
        var readIn = selections.Select(selection => selection.Points.Where(point => outputs.Contains(point.Name) && analogPins.Contains(point.AdapterPin!)).ToList()).ToList();
        Duration ReadingOf(Func<TestPoint, bool> isRead)
        {
            var pins = readIn.Max(points => points.Where(isRead).Select(point => point.AdapterPin).Distinct().Count());
            return pins == 0 ? Duration.Zero : (options.SampleTime * (options.Samples * pins)) + options.Margin;
        }
        var reading = ReadingOf(_ => true);
        var readingAlone = channels.Max(channel => ReadingOf(point => channel.Stages.Any(stage => stage.OutputName == point.Name)));
        var moves = mode == ExerciseMode.Motion && channels[0].Line.Motion;
        var (on, off, firstReading, end) = moves ? LayMotion(channels, options) : LayLogic(channels, options, reading, reading - readingAlone);
        ImmutableArray<Duration> readAt = reading == Duration.Zero ? [] : firstReading is { } first ? [first, end] : [end];
        var read = readIn.SelectMany(points => points).Select(point => point.Name).ToImmutableHashSet();
        return new(
            options,
            [.. channels.SelectMany((channel, i) => new[] { (on[i], channel.Line.AdapterPin, true), (off[i], channel.Line.AdapterPin, false) }).OrderBy(step => step.Item1)],
            readAt,
            read,
            end + reading,
            [
                .. channels.Select((channel, i) => new Exercise(
                    channel, moves ? ExerciseMode.Motion : ExerciseMode.LogicOnly, on[i], off[i],
                    [.. readAt.SelectMany(at => channel.Stages.Where(stage => read.Contains(stage.OutputName)).Select(stage => new PlannedReading(at, stage.OutputName)))])
                {
                    Companions = channels.Remove(channel),
                }).OrderBy(exercise => group.IndexOf(exercise.Channel)),
            ]);
    }

    /// <summary>The program of the whole group while these test points are seen.</summary>
    public PlannedRun Run(PointSelection selection)
    {
        ImmutableArray<string> pins = [.. selection.Points.Where(point => _read.Contains(point.Name)).Select(point => point.AdapterPin!).Distinct()];
        var on = ImmutableArray<string>.Empty;
        var steps = new List<StimulusStep>();
        foreach (var (at, pin, goesOn) in _switching)
        {
            on = goesOn ? on.Add(pin) : on.Remove(pin);
            steps.Add(new LinesStep(at, on));
        }
        if (!pins.IsEmpty)
            steps.AddRange(_readAt.Select(at => new MeasureStep(at, pins, _options.Samples)));
        return new(new([.. steps.OrderBy(step => step.At)], _length), selection, _exercises);
    }

    /// <param name="reading">What the readings of all of them take.</param>
    /// <param name="more">By how much that is longer than the longest of one channel alone: so much less is spent on watching longer than is needed.</param>
    private static (Duration[] On, Duration[] Off, Duration? Reading, Duration End) LayLogic(
        ImmutableArray<Channel> channels, ExerciseOptions options, Duration reading, Duration more)
    {
        var on = OneAfterTheOther(channels, options);
        var last = on[^1];
        var apart = options.Margin + options.Seeing;
        var needed = channels.Max(channel => channel.SlowestArrival) + options.Seeing;
        // Whoever serves the steps counts the on-time too: stay clear of its limit by a margin, and by how late it may be.
        var tightest = Enumerable.Range(0, channels.Length).MinBy(i => Room(i));
        Duration Room(int i) => channels[i].Line.LongestOn - (last - on[i]) - (apart * i) - reading - options.Margin - options.StepLateness;
        var wanted = Duration.Max(options.Observe - more - (last - on[0]), needed);
        var observe = Room(tightest) < wanted ? Room(tightest) : wanted;
        if (observe < needed)
        {
            var line = channels[tightest].Line;
            throw new ArgumentException(
                $"Line '{line.Name}' may be on for {line.LongestOn} at most; to see the command arrive and read its levels takes {needed + (line.LongestOn - Room(tightest))}{(options.Seeing > Duration.Zero ? $", of which {options.Seeing} because this adapter looks so seldom" : "")}. Raise longest-on if the machine allows it{(options.Seeing > Duration.Zero ? ", close other programs, or use an adapter with our own firmware" : "")}.");
        }
        var firstReading = last + observe;
        Duration[] off = [.. channels.Select((_, i) => firstReading + reading + (apart * i))];
        return (on, off, firstReading, off[^1] + Duration.Max(options.Observe - more - (off[^1] - off[0]), needed));
    }

    private static (Duration[] On, Duration[] Off, Duration? Reading, Duration End) LayMotion(ImmutableArray<Channel> channels, ExerciseOptions options)
    {
        var on = OneAfterTheOther(channels, options);
        if (options.Seeing > Duration.Zero && channels.FirstOrDefault(channel => channel.MotionOn < channel.SlowestArrival + options.Seeing) is { } brief)
        {
            throw new ArgumentException(
                $"Channel '{brief.Name}' moves for {brief.MotionOn}; this adapter looks so seldom that it needs {brief.SlowestArrival + options.Seeing} to see the command arrive. Close other programs, use an adapter with our own firmware, or raise motion-on if the machine allows it.");
        }
        Duration[] off = [.. channels.Select((channel, i) => on[i] + channel.MotionOn)];
        // Two steps need some time between them: one that falls too near another waits.
        var before = Duration.Zero;
        foreach (var (at, i, goesOn) in on.Select((at, i) => (at, i, true)).Concat(off.Select((at, i) => (at, i, false))).OrderBy(step => step.at))
        {
            before = Duration.Max(at, before + options.Margin + options.Seeing);
            (goesOn ? on : off)[i] = before;
        }
        if (Enumerable.Range(0, channels.Length).FirstOrDefault(i => off[i] - on[i] + options.StepLateness > channels[i].Line.LongestOn, -1) is >= 0 and var late)
        {
            throw new ArgumentException(
                $"Line '{channels[late].Line.Name}' may be on for {channels[late].Line.LongestOn} at most; it would be on for {off[late] - on[late]}{(options.StepLateness > Duration.Zero ? $", and this adapter may be {options.StepLateness} late to end that: make motion-on shorter by as much, or use an adapter with our own firmware" : " beside the others")}.");
        }
        return (on, off, null, before + Duration.Max(options.Coast, channels.Max(channel => channel.SlowestArrival) + options.Seeing));
    }

    private static Duration[] OneAfterTheOther(ImmutableArray<Channel> channels, ExerciseOptions options)
    {
        var on = new Duration[channels.Length];
        on[0] = Duration.Max(options.LeadIn, options.Margin + options.Seeing) + options.Phase;
        for (var i = 1; i < on.Length; i++)
            on[i] = on[i - 1] + channels[i - 1].LatestArrival + options.Margin + options.Seeing;
        return on;
    }
}
