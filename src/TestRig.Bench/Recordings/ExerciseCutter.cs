using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Recordings;

/// <summary>
/// Cuts a recording into exercises while it streams by: each time that a channel's line goes on and off is one, with the quiet time in front and with what comes after. Keeps no more than the exercises
/// that are going on.
/// </summary>
/// <remarks>
/// Nobody planned the commands, so they may overlap: channels that are commanded meanwhile are companions, as in a sweep of several together. Where a command comes again before the answer to the last one
/// must be over, it is the same exercise: a command that bounces is one command, and is found to bounce.
/// </remarks>
internal sealed class ExerciseCutter
{
    /// <summary>So much quiet time in front of a command, where there is so much.</summary>
    private static readonly Duration _leadIn = Duration.FromMilliseconds(5);

    /// <summary>For so long at least what a command's end may do is watched, where no other command comes.</summary>
    private static readonly Duration _shortestTail = Duration.FromMilliseconds(1);

    /// <summary>How long an axis is watched after its command.</summary>
    private static readonly Duration _coast = Duration.FromMilliseconds(150);

    /// <summary>From so many changes on, a point's history is looked through for what nobody needs any more.</summary>
    private const int ManyChanges = 1_024;

    private readonly ExerciseMode _mode;
    private readonly IRecording _recording;
    private readonly double _clockTolerance;
    private readonly Action<Channel, ExerciseRecord> _exercised;
    private readonly Action<Channel, string> _notJudged;
    private readonly Dictionary<string, PointHistory> _points = [];
    private readonly PointHistory[] _pointOf;
    private readonly VoltageHistory?[] _voltageOf;
    private readonly List<Command>[] _commandsOf;
    private readonly List<Command> _open = [];
    private readonly bool[] _onPath;
    private readonly ImmutableArray<Command> _commands;
    private Instant _busyUntil = Instant.Start;
    private Instant _firstDeadline = new(long.MaxValue);

    /// <param name="board">A recorded one.</param>
    /// <param name="clockTolerance">Of the instrument, as a fraction.</param>
    /// <param name="exercised">Told of each exercise, in the order in which they end.</param>
    /// <param name="notJudged">Told of each command that cannot be judged, with the reason.</param>
    public ExerciseCutter(Board board, ExerciseMode mode, IRecording recording, double clockTolerance, Action<Channel, ExerciseRecord> exercised, Action<Channel, string> notJudged)
    {
        (_mode, _recording, _clockTolerance, _exercised, _notJudged) = (mode, recording, clockTolerance, exercised, notJudged);
        var signals = recording.Signals;
        var inLevels = signals.Where(signal => !signal.InVolts).Select(signal => signal.TestPoint).ToHashSet();
        foreach (var signal in signals)
            _points.TryAdd(signal.TestPoint, new(signal.TestPoint));
        _pointOf = [.. signals.Select(signal => _points[signal.TestPoint])];
        _voltageOf = [.. signals.Select(signal => signal.InVolts ? new VoltageHistory(LimitsAt(board, signal.TestPoint)) : null)];
        LevelsOfVoltages = [.. signals.Where(signal => signal.InVolts && !inLevels.Contains(signal.TestPoint)).Select(signal => signal.TestPoint)];
        _commands = [.. board.Channels.Where(channel => _points.ContainsKey(channel.DrivenAt.Name)).Select(channel => new Command(channel, mode))];
        _commandsOf = [.. signals.Select(signal => signal.InVolts && inLevels.Contains(signal.TestPoint) ? [] : _commands.Where(command => command.Channel.DrivenAt.Name == signal.TestPoint).ToList())];
        _onPath = [.. signals.Select(signal => board.Channels.Any(channel => channel.Stages.Any(stage => stage.OutputName == signal.TestPoint)))];
    }

    /// <summary>Test points of which only a voltage was recorded: their level is made of it.</summary>
    public ImmutableHashSet<string> LevelsOfVoltages { get; }

    /// <summary>Test points whose level was known at no time.</summary>
    public IEnumerable<string> NeverKnown => _points.Values.Where(point => !point.WasKnown).Select(point => point.Point);

    /// <summary>Commands that had begun before the recording did, by channel.</summary>
    public Dictionary<string, int> BegunBefore { get; } = [];

    /// <summary>Changes in a path while nothing was commanded, by test point: how many, and the first.</summary>
    public SortedDictionary<string, (long Times, Instant First)> ByItself { get; } = new(StringComparer.Ordinal);

    public void Take(in RecordedValue value)
    {
        if (value.At > _firstDeadline)
            CloseUntil(value.At);
        var point = _pointOf[value.Signal];
        var (level, after) = (value.Level, value.After);
        if (_voltageOf[value.Signal] is { } voltage)
        {
            (level, after) = voltage.Take(value.Voltage, value.After, value.At);
            // A level that was recorded as such tells when it changed; the voltage tells how good it is.
            if (!LevelsOfVoltages.Contains(point.Point))
                return;
        }
        var known = point.Level is not null;
        if (point.Set(level, after, value.At) is { } change)
        {
            foreach (var command in _commandsOf[value.Signal])
                Commanded(command, change);
            if (_onPath[value.Signal] && _open.Count == 0 && change.After >= _busyUntil && _commands.All(command => command.State == CommandState.Idle))
                ByItself[point.Point] = ByItself.TryGetValue(point.Point, out var before) ? before with { Times = before.Times + 1 } : (1, change.NotAfter);
        }
        else if (!known && point.Level is { } first)
        {
            foreach (var command in _commandsOf[value.Signal].Where(command => command.State == CommandState.Unknown))
                command.State = first == command.Channel.Line.Idle ? CommandState.Idle : CommandState.BegunBefore;
        }
        if (point.Count > ManyChanges && _open.Count == 0)
            point.Forget(value.At - _leadIn);
    }

    /// <summary>The recording has come to its end.</summary>
    public void End()
    {
        var now = _recording.Now;
        CloseUntil(now);
        foreach (var command in _open.ToList())
        {
            if (command.State == CommandState.Off && now >= command.OffAt + command.Needed(_recording.Resolution))
            {
                Close(command, now);
                continue;
            }
            _open.Remove(command);
            _notJudged(command.Channel, $"The recording ends {(command.State == CommandState.On ? $"while {command.Channel.Line.Name} is on" : $"{now - command.OffAt} after its command, before every answer must have come")}: that exercise was not judged.");
        }
        foreach (var command in _commands.Where(command => command.State == CommandState.BegunBefore))
            Count(command);
    }

    private void Commanded(Command command, Change change)
    {
        if (change.Level == command.Channel.Line.Active)
        {
            if (command.State == CommandState.Off)
            {
                if (change.After < command.OffAt + command.Needed(_recording.Resolution))
                {
                    command.State = CommandState.On;
                    return;
                }
                Close(command, change.After);
            }
            Open(command, change);
            return;
        }
        if (command.State == CommandState.On)
        {
            if (command.FirstOff is null)
            {
                command.FirstOff = change;
                command.ReadWhileOn(Readings(command, change.After, command.On.NotAfter));
            }
            (command.State, command.OffAt) = (CommandState.Off, change.NotAfter);
            _firstDeadline = Instant.Min(_firstDeadline, command.Deadline);
        }
        else if (command.State is CommandState.BegunBefore or CommandState.Unknown)
        {
            Count(command);
            command.State = CommandState.Idle;
            _busyUntil = Instant.Max(_busyUntil, change.NotAfter + command.Tail);
        }
    }

    private void Open(Command command, Change change)
    {
        if (change.NotAfter > _firstDeadline)
            CloseUntil(change.NotAfter);
        // What others still answer must be over, or it may pass for an answer to this command.
        foreach (var other in _open.Where(other => other.State == CommandState.Off && change.After >= other.OffAt + other.Needed(_recording.Resolution)).ToList())
            Close(other, change.After);
        command.Begin(change, Instant.Max(Instant.Start, Instant.Min(change.After, Instant.Max(change.After - _leadIn, _busyUntil))));
        foreach (var other in _open)
        {
            other.Companions.Add(command.Channel);
            command.Companions.Add(other.Channel);
        }
        foreach (var other in _commands.Where(other => other.State == CommandState.BegunBefore))
            command.Companions.Add(other.Channel);
        _open.Add(command);
    }

    private void CloseUntil(Instant now)
    {
        foreach (var command in _open.Where(command => command.State == CommandState.Off && command.Deadline < now).OrderBy(command => command.Deadline).ToList())
            Close(command, command.Deadline);
        _firstDeadline = _open.Where(command => command.State == CommandState.Off).Select(command => command.Deadline).DefaultIfEmpty(new(long.MaxValue)).Min();
    }

    private void Close(Command command, Instant end)
    {
        _open.Remove(command);
        _busyUntil = Instant.Max(_busyUntil, end);
        var (channel, on, off) = (command.Channel, command.On, command.FirstOff!.Value);
        command.State = CommandState.Idle;
        var needed = command.Needed(_recording.Resolution);
        if (off.After - on.NotAfter < needed && command.OffAt == off.NotAfter)
            _notJudged(channel, $"{channel.Line.Name} was on for {off.Estimate - on.Estimate} only, and its answer may take {needed}: that exercise was not judged.");
        else
            _exercised(channel, Record(command, on, off, end));
        if (_open.Count > 0)
            return;
        foreach (var point in _points.Values)
            point.Forget(end - _leadIn);
    }

    private ExerciseRecord Record(Command command, Change on, Change off, Instant end)
    {
        var (channel, start) = (command.Channel, command.Start);
        var shift = start - Instant.Start;
        var signals = ImmutableArray.CreateBuilder<Signal>();
        var gaps = new List<Gap>();
        foreach (var point in _points.Values)
        {
            if (point.Between(start, end) is not var (signal, unknown))
                continue;
            // What is not known of another channel's point is no matter of this one.
            if (unknown.IsEmpty || channel.Owns(point.Point))
            {
                signals.Add(signal);
                gaps.AddRange(unknown);
            }
        }
        ImmutableArray<LevelReading> levels = [.. command.Readings.Concat(Readings(command, end, command.OffAt)).Select(reading => reading with { At = reading.At - shift })];
        var capture = new Capture(_recording.Step, _recording.Resolution, _clockTolerance, end - shift, signals.ToImmutable(), [.. gaps.OrderBy(gap => gap.From)], levels, new(CaptureOutcome.Complete, null));
        var exercise = new Exercise(channel, _mode, on.After - start, off.After - start, [.. levels.Select(level => new PlannedReading(level.At.SinceStart, level.Signal))]) { Companions = [.. command.Companions] };
        return new(exercise, [capture], ImmutableDictionary<string, LeadState>.Empty);
    }

    /// <summary>Voltages of a settled state: behind the latest answer to the edge that it began with.</summary>
    private IEnumerable<LevelReading> Readings(Command command, Instant until, Instant edge)
    {
        for (var signal = 0; signal < _voltageOf.Length; signal++)
        {
            var name = _pointOf[signal].Point;
            if (_voltageOf[signal] is { } voltage && command.Channel.Stages.Any(stage => stage.OutputName == name)
                && voltage.Reading(name, edge + command.Needed(_recording.Resolution), until, _recording.TellsChangesOnly) is { } reading)
            {
                yield return reading;
            }
        }
    }

    private void Count(Command command) => BegunBefore[command.Channel.Name] = BegunBefore.GetValueOrDefault(command.Channel.Name) + 1;

    /// <summary>Those that the profile gives for recordings; else of the receiver behind the point; else of a supply that the point goes up to, or TTL.</summary>
    private static LevelLimits LimitsAt(Board board, string point) =>
        board.Recordings.Signals.FirstOrDefault(signal => signal.TestPoint == point)?.Limits
        ?? board.Channels.SelectMany(channel => channel.Stages).FirstOrDefault(stage => stage.OutputName == point)?.Levels
        ?? board.Channels.FirstOrDefault(channel => channel.DrivenAt.Name == point)?.Stages[0].Circuit.Input?.Limits
        ?? (board.TestPoints.First(known => known.Name == point).Highest is { } highest && highest > _logicSupply ? LevelLimits.OfSupply(highest) : LevelLimits.Ttl);

    /// <summary>5 V and a tenth: what goes no higher is taken for TTL where nothing tells.</summary>
    private static readonly Volts _logicSupply = new(5.5);

    private enum CommandState
    {
        /// <summary>Its line's level was not seen yet.</summary>
        Unknown,
        Idle,

        /// <summary>It was on when its line was seen first.</summary>
        BegunBefore,
        On,

        /// <summary>Its line is idle again, and what answers is still awaited.</summary>
        Off,
    }

    /// <summary>What a channel's line does.</summary>
    private sealed class Command(Channel channel, ExerciseMode mode)
    {
        public Channel Channel => channel;

        public CommandState State { get; set; }

        public Instant Start { get; private set; }

        public Change On { get; private set; }

        public Change? FirstOff { get; set; }

        /// <summary>When it went off last.</summary>
        public Instant OffAt { get; set; }

        public HashSet<Channel> Companions { get; } = [];

        public ImmutableArray<LevelReading> Readings { get; private set; } = [];

        /// <summary>How long behind a command's end its exercise goes on.</summary>
        public Duration Tail { get; } = Duration.Max(Duration.Max(channel.SlowestArrival, _shortestTail), mode == ExerciseMode.Motion && channel.Line.Motion ? _coast : Duration.Zero);

        public Instant Deadline => OffAt + Tail;

        /// <summary>Behind that every answer must have come.</summary>
        public Duration Needed(Duration resolution) => channel.LatestArrival + resolution;

        public void Begin(Change on, Instant start)
        {
            (On, Start, FirstOff, Readings, State) = (on, start, null, [], CommandState.On);
            Companions.Clear();
        }

        public void ReadWhileOn(IEnumerable<LevelReading> readings) => Readings = [.. readings];
    }
}
