using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests;

/// <summary>Ready-made pieces of a small invented board: two opposed channels, each buffer, buffer, isolator, driver. All figures are invented.</summary>
internal static class Some
{
    private static readonly DelayLimits _fast = new(null, Duration.FromNanoseconds(9), Duration.FromNanoseconds(18), "invented");

    public static readonly Supply Logic = new("logic", new(5), 0.05, null, false);

    public static readonly Supply Isolated = new("isolated", new(12), 0.1, null, false);

    public static readonly BufferType Buffer = new(
        "inverting buffer", "invented", "invented", true,
        [new("2", "18", "1"), new("4", "16", "1"), new("6", "14", "1")], _fast, _fast, LevelLimits.Ttl, new(0.4), new(2.4));

    public static readonly IsolatorType Isolator = new(
        "isolator", "invented", "invented", "1", "2", "5", "4", new(1.15), 0.2, new(0.5), new(0.06),
        new(null, Duration.FromMicroseconds(5), null, "invented"), new(null, Duration.FromMicroseconds(105), null, "invented"),
        0, new(0), Duration.Zero);

    public static readonly DriverType Driver = new(
        "driver", "invented", "invented", true,
        new(null, Duration.FromMicroseconds(5), null, "invented"), new(null, Duration.FromMicroseconds(15), null, "invented"));

    public static readonly BufferPart U3 = new("U3", Buffer, Logic);

    public static readonly BufferPart U4 = new("U4", Buffer, Logic);

    public static Channel Channel(int number)
    {
        var section = Buffer.Sections[number - 1];
        var line = new Line($"move-{number}", $"D{21 + number}", Level.High, true, Duration.FromMilliseconds(500), Duration.FromMilliseconds(250), "pull-up");
        var isolator = new IsolatorPart($"OK{number}", Isolator, Logic, new(220), Isolated, new(10_000), true);
        var driver = new DriverPart($"Q{number}", Driver, Isolated);
        return new(
            $"move-{number}", line, Point($"J1.{2 * number}", line.AdapterPin),
            [
                StageModel.Of(U3, section, Point($"U3.{section.Output}", $"A{number}")),
                StageModel.Of(U4, section, Point($"U4.{section.Output}", $"C{number}")),
                StageModel.Of(isolator, Point($"OK{number}.5", $"K{number}")),
                StageModel.Of(driver, Point($"Q{number}.C", $"B{number}")),
            ],
            [], Duration.FromMilliseconds(400), null);
    }

    /// <summary>Always the same one: parts and channels of one board are known by identity.</summary>
    public static Board Board() => _board.Value;

    private static readonly Lazy<Board> _board = new(() => BoardOf(2));

    /// <summary>Another board with this many channels, up to 3.</summary>
    public static Board BoardOf(int count)
    {
        ImmutableArray<Channel> channels = [.. Enumerable.Range(1, count).Select(Channel)];
        return new(
            "small invented board", [Logic, Isolated],
            [U3, U4, .. channels.SelectMany(channel => channel.Stages).Select(stage => stage.Part).Where(part => part is not BufferPart)],
            [.. channels.Select(channel => channel.Line)],
            [.. channels.Select(channel => channel.DrivenAt), .. channels.SelectMany(channel => channel.Stages).Select(stage => stage.Output!)],
            [(channels[0].Line, channels[1].Line)], [], channels, []);
    }

    public static TestPoint Point(string name, string pin) => new(name, pin, null, null);

    public static Exercise Exercise(Channel channel, ExerciseMode mode = ExerciseMode.LogicOnly, params string[] analogPins) =>
        Turn(channel, mode, analogPins).Exercises[0];

    /// <summary>The channel alone, all points of the board in view.</summary>
    public static Turn Turn(Channel channel, ExerciseMode mode, params string[] analogPins) => Scheduler.Plan(
        TurnOrder.Of(channel), mode, ExerciseOptions.For(Duration.FromMicroseconds(120)), [.. analogPins], PointSelection.Of(Board()));

    public static Instant At(double microseconds) => Instant.Start + Duration.FromSeconds(microseconds * 1e-6);

    /// <summary>A change seen by an adapter that looks every <paramref name="look"/> microseconds (so wide is its interval).</summary>
    public static Change Change(double microseconds, Level level, double look = 1.3) => new(At(microseconds - look), At(microseconds), level);

    public static Capture Capture(Exercise exercise, params Signal[] signals) => new(
        Duration.FromNanoseconds(63), Duration.FromNanoseconds(1300), 0.005, EndOf(exercise), [.. signals], [], [],
        new(CaptureOutcome.Complete, null));

    public static Instant EndOf(Exercise exercise) => Instant.Start + Turn(exercise.Channel, exercise.Mode).Longest;

    /// <summary>
    /// The signals of a channel whose points answer at these delays, in microseconds, after the command's edges. A stage given as null stays at its idle level.
    /// </summary>
    public static Signal[] Signals(Exercise exercise, params (double On, double Off)?[] delays)
    {
        var channel = exercise.Channel;
        var on = exercise.OnAt.ToSeconds() * 1e6;
        var off = exercise.OffAt.ToSeconds() * 1e6;
        var line = channel.Line;
        return
        [
            new(channel.DrivenAt.Name, line.Idle, [Change(on, line.Active), Change(off, line.Idle)]),
            .. channel.Stages.Select((stage, index) => new Signal(
                stage.OutputName,
                channel.LevelAfter(index, line.Idle),
                delays[index] is { } delay
                    ? [Change(on + delay.On, channel.LevelAfter(index, line.Active)), Change(off + delay.Off, channel.LevelAfter(index, line.Idle))]
                    : [])),
        ];
    }

    /// <summary>Arrival times of a good board: the sums of typical delays along the path.</summary>
    public static readonly (double On, double Off)?[] GoodDelays = [(0.1, 0.1), (0.2, 0.2), (5.2, 105.2), (10.2, 120.2)];

    public static ChannelResult Judge(Exercise exercise, params Signal[] signals) => Judge(Board(), exercise, Capture(exercise, signals));

    public static ChannelResult Judge(Board board, Exercise exercise, Capture capture, params (string Point, LeadState State)[] leads) => ChannelJudge.Judge(
        board, new(exercise, [capture], leads.ToImmutableDictionary(lead => lead.Point, lead => lead.State)));
}
