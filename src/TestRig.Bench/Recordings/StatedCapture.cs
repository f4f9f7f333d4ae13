using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Recordings;

/// <summary>
/// A dump of ours that says what its values cannot tell (<see cref="CaptureStatements"/>): it is one exercise, just as it was captured, and nothing of it has to be inferred. Where a wire is unknown, a statement must say why,
/// and the dump must reach to the end that it states: what is not as it was written is refused.
/// </summary>
internal sealed class StatedCapture
{
    /// <summary>Changes, readings and statements that are taken of one exercise; no adapter of ours keeps nearly as many.</summary>
    private const int MostEntries = 1_000_000;

    /// <summary>Two such times can be added.</summary>
    private const long LatestTime = long.MaxValue / 4;

    private readonly VcdReader _reader;
    private readonly string _file;
    private readonly ImmutableArray<VcdSignals.Found> _found;
    private readonly string[] _heading;
    private readonly Dictionary<string, Points> _points = [];
    private readonly List<Gap> _gaps = [];
    private readonly List<LevelReading> _levels = [];
    private readonly List<PlannedReading> _planned = [];
    private readonly List<string> _companions = [];
    private CaptureEnding? _ending;
    private Instant _now;
    private int _entries;

    private StatedCapture(VcdReader reader, string file, string[] heading, ImmutableArray<VcdSignals.Found> found)
    {
        (_reader, _file, _heading, _found) = (reader, file, heading, found);
        Mode = Value<ExerciseMode>(heading[2]);
        (On, Off, Tick, Resolution) = (new(Time(heading[4])), new(Time(heading[6])), new(Time(heading[8])), new(Time(heading[10])));
        ClockTolerance = Number(heading[12]) is >= 0 and < 1 and var clock ? clock : throw Odd(heading);
        End = new(Time(heading[14]));
        if (Tick <= Duration.Zero || Resolution <= Duration.Zero || On >= Off)
            throw Odd(heading);
    }

    public ExerciseMode Mode { get; }

    public Duration Tick { get; }

    public Duration Resolution { get; }

    /// <summary>As a fraction.</summary>
    public double ClockTolerance { get; }

    private Duration On { get; }

    private Duration Off { get; }

    private Instant End { get; }

    public string ChannelName => _heading[1];

    /// <summary>True of a dump that makes statements; its names are those of the profile.</summary>
    public static bool Is(VcdHeader header) => HeadingOf(header) is not null;

    /// <param name="reader">Behind its declarations.</param>
    /// <returns>Null of a dump that makes no statements.</returns>
    /// <exception cref="RecordingException">Its first statement is not as we write it.</exception>
    public static StatedCapture? Of(VcdReader reader, string file, ImmutableArray<VcdSignals.Found> found)
    {
        if (HeadingOf(reader.Header) is not { } heading)
            return null;
        return heading is [_, _, _, "on", _, "off", _, "tick", _, "resolution", _, "clock", _, "end", _] ? new(reader, file, heading, found) : throw Odd(file, 0, heading);
    }

    private static string[]? HeadingOf(VcdHeader header) => header.Comment.Split('\n').Select(line => line.Split(' ')).FirstOrDefault(words => words[0] == CaptureStatements.Heading);

    /// <summary>Reads on to the dump's end.</summary>
    /// <exception cref="RecordingException">It is not as we write it, or of another board.</exception>
    public ExerciseRecord Read(Board board)
    {
        var channel = ChannelOf(board, ChannelName);
        foreach (var point in _found.Where(found => !found.Signal.InVolts))
            _points[point.Signal.TestPoint] = new();
        if (!_points.ContainsKey(channel.DrivenAt.Name))
            throw new RecordingException(_file, 0, $"{channel.DrivenAt.Name}, where the command of {channel.Name} enters, is not in it", "judge it by the profile that it was captured with");
        var pointOf = _found.Where(found => !found.Signal.InVolts).ToLookup(found => found.Code, found => found.Signal.TestPoint);
        while (_reader.Read() is not VcdEvent.End and var told)
        {
            switch (told)
            {
                case VcdEvent.Time:
                    _now = _reader.Header.Timescale.At(_reader.Time) is { Picoseconds: <= LatestTime } now ? now : throw Wrong("this time is beyond what can be judged");
                    break;
                case VcdEvent.Comment:
                    if (_reader.Comment.Split(' ') is [CaptureStatements.Mark, .. var statement])
                        Take(statement);
                    break;
                case VcdEvent.Off:
                    throw Wrong("$dumpoff stands here");
                default:
                    foreach (var point in pointOf[_reader.Code])
                        TakeValue(point, _reader.Bit(0));
                    break;
            }
            if (++_entries > MostEntries)
                throw Wrong($"more than {MostEntries.ToString(CultureInfo.InvariantCulture)} values stand here");
        }
        if (_now != End)
            throw Wrong($"the dump ends at {_now}, and its capture ended at {End}");
        var signals = ImmutableArray.CreateBuilder<Signal>();
        foreach (var (name, point) in _points)
            signals.Add(new(name, point.Initial ?? throw new RecordingException(_file, 0, $"no level of {name} stands in it", Remedy), [.. point.Changes]));
        var capture = new Capture(Tick, Resolution, ClockTolerance, End, signals.ToImmutable(), [.. _gaps], [.. _levels], _ending ?? throw Wrong("nothing tells how the capture ended"));
        var exercise = new Exercise(channel, Mode, On, Off, [.. _planned]) { Companions = [.. _companions.Select(name => ChannelOf(board, name))] };
        return new(exercise, [capture], ImmutableDictionary<string, LeadState>.Empty);
    }

    private void TakeValue(string name, FourState value)
    {
        var point = _points[name];
        if (value is FourState.X or FourState.Z)
        {
            if (!_gaps.Exists(gap => gap.From <= _now && _now < gap.To))
                throw Wrong($"{name} is unknown from here on, and no statement says why");
            return;
        }
        var level = value == FourState.One ? Level.High : Level.Low;
        if (point.Initial is null)
        {
            point.Initial = _now == Instant.Start ? level : throw Wrong($"{name} has no level until here");
            point.Last = level;
        }
        else if (level != point.Last)
        {
            Add(name, point, new(CaptureStatements.Usual(_now, Resolution), _now, level));
        }
    }

    private void Take(string[] statement)
    {
        switch (statement)
        {
            case [CaptureStatements.Ended, var outcome, .. { Length: <= 1 } by]:
                _ending = new(Value<CaptureOutcome>(outcome), by is [var stop] ? stop : null);
                break;
            case [CaptureStatements.Beside, var channel]:
                _companions.Add(channel);
                break;
            case [CaptureStatements.Reads, var read, var at]:
                _planned.Add(new(new(Time(at)), read));
                break;
            case [CaptureStatements.InGap, var from, var to, var reason]:
                _gaps.Add(new(new(Time(from)), new(Time(to)), Value<GapReason>(reason)));
                break;
            case [CaptureStatements.Before, var name, "0" or "1"] when _points.TryGetValue(name, out var point) && point.Initial is null:
                point.Initial = point.Last = statement[2] == "1" ? Level.High : Level.Low;
                break;
            case [CaptureStatements.Changed, var name, "0" or "1", var after, var notAfter]:
                var change = new Change(new(Time(after)), new(Time(notAfter)), statement[2] == "1" ? Level.High : Level.Low);
                if (change.NotAfter != _now)
                    throw Odd(statement);
                // Points that the profile no longer has are no matter.
                if (_points.TryGetValue(name, out var changed))
                    Add(name, changed, change);
                break;
            case [CaptureStatements.Reading, var name, var at, .. var numbers]:
                _levels.Add(CaptureStatements.ReadingOf(name, new(Time(at)), [.. numbers.Select(Number)]) ?? throw Odd(statement));
                break;
            case [CaptureStatements.Before, var name, "0" or "1"] when !_points.ContainsKey(name):
                break;
            default:
                throw Odd(statement);
        }
    }

    private void Add(string name, Points point, Change change)
    {
        if (change.After > change.NotAfter || point.Last is not { } last || change.Level == last || (point.Changes.Count > 0 && point.Changes[^1].NotAfter > change.NotAfter))
            throw Wrong($"the change of {name} to {(change.Level == Level.High ? 1 : 0)} does not follow from what is told before");
        point.Changes.Add(change);
        point.Last = change.Level;
    }

    private Channel ChannelOf(Board board, string name) => board.Channels.FirstOrDefault(channel => channel.Name == name)
        ?? throw new RecordingException(_file, 0, $"it is a capture of channel '{name}', which the profile does not have", NearestName.Suggest(name, board.Channels.Select(channel => channel.Name), "channels"));

    private long Time(string word) => long.TryParse(word, NumberStyles.None, CultureInfo.InvariantCulture, out var time) && time <= LatestTime ? time : throw Odd([word]);

    private double Number(string word) => double.TryParse(word, NumberStyles.Float, CultureInfo.InvariantCulture, out var number) && double.IsFinite(number) ? number : throw Odd([word]);

    private T Value<T>(string word)
        where T : struct, Enum
    {
        foreach (var value in Enum.GetValues<T>())
        {
            if (KebabWord.Of(value) == word)
                return value;
        }
        throw Odd([word]);
    }

    private const string Remedy = "it is a capture of ours, and not as testrig wrote it: export the run again";

    private RecordingException Odd(string[] statement) => Odd(_file, _reader.Line, statement);

    private static RecordingException Odd(string file, long line, string[] statement) => new(file, line, $"the statement '{RecordingException.Shown(string.Join(' ', statement))}' is not understood", Remedy);

    private RecordingException Wrong(string what) => new(_file, _reader.Line, what, Remedy);

    private sealed class Points
    {
        public Level? Initial { get; set; }

        public Level? Last { get; set; }

        public List<Change> Changes { get; } = [];
    }
}
