using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>
/// One program run by the host: looks at all pins again and again, serves steps, and stops. Whatever the host is late for is recorded: a change lies between the
/// earliest instant that the look before may tell of and the end of the look that saw it, however long that was.
/// </summary>
internal sealed class GpioBurst
{
    private readonly PinBoard _board;
    private readonly IHostClock _clock;
    private readonly LookTimes _times;
    private readonly AdapterLimits _limits;
    private readonly StimulusProgram _program;
    private readonly CancellationToken _cancellation;
    private readonly BoardPin[] _looked;
    private readonly ImmutableDictionary<string, BoardPin> _pins;
    private readonly Dictionary<string, List<Change>> _changes = [];
    private readonly Dictionary<string, Level> _initial = [];
    private readonly Dictionary<string, (long Begin, long End, Level Level)> _written = [];
    private readonly Dictionary<string, long> _onSince = [];
    private readonly Dictionary<string, long> _offAt = [];
    private readonly List<Gap> _gaps = [];
    private readonly List<LevelReading> _levels = [];
    private readonly List<Duration> _stepLateness = [];

    /// <summary>Begins of the last looks, the newest last: one more than a look may be behind.</summary>
    private readonly Queue<long> _begins = new();
    private Level[] _seen;
    private Level[] _next;
    private long _origin;
    private long _known;
    private long _end;
    private int _looks;
    private int _lateLooks;
    private long _widths;
    private long _longestWidth;
    private CaptureEnding? _ending;

    /// <param name="pins">The sensed pins and the lines, by name.</param>
    /// <param name="looked">The pins that are looked at: all of them, without lines that cannot be read back.</param>
    public GpioBurst(
        PinBoard board, IHostClock clock, LookTimes times, AdapterLimits limits, StimulusProgram program, ImmutableDictionary<string, BoardPin> pins,
        ImmutableArray<BoardPin> looked, CancellationToken cancellation)
    {
        (_board, _clock, _times, _limits, _program, _pins, _cancellation) = (board, clock, times, limits, program, pins, cancellation);
        _looked = [.. looked];
        _seen = new Level[_looked.Length];
        _next = new Level[_looked.Length];
    }

    /// <summary>When each line that was on went off, on the host's clock.</summary>
    public IReadOnlyDictionary<string, long> OffAt => _offAt;

    /// <exception cref="AdapterException">A stop input forbids the program; or a line was on for longer than it may be. Lines are idle.</exception>
    public Capture Run()
    {
        Begin();
        var length = _program.Length.Picoseconds;
        var next = 0;
        while (_ending is null)
        {
            var due = next < _program.Steps.Length ? _program.Steps[next].At.Picoseconds : length;
            var now = Now;
            // A look that would not be over in time is left out, so that the step is not late for it.
            if (now + _times.Pause.Picoseconds >= due)
            {
                _clock.WaitUntil(_origin + due);
                if (next == _program.Steps.Length)
                    break;
                Serve(_program.Steps[next++]);
            }
            // Between two steps there is always a look: what a line did is seen even when the host was late for both.
            if (_ending is null)
                Look();
        }
        return End();
    }

    private long Now => _clock.Now - _origin;

    private void Begin()
    {
        for (var look = 0; look <= _board.LooksBehind; look++)
            LookRaw();
        _origin = _begins.Peek();
        _known = 0;
        _end = Now;
        for (var pin = 0; pin < _looked.Length; pin++)
            _initial[_looked[pin].Name] = _next[pin];
        foreach (var line in _limits.Lines)
            _initial.TryAdd(line.Pin, line.Idle);
        foreach (var name in _initial.Keys)
            _changes[name] = [];
        (_seen, _next) = (_next, _seen);
        if (Forbidding([.. _program.Steps.OfType<LinesStep>().SelectMany(step => step.OnPins)]) is { } stop)
        {
            throw new AdapterException(
                AdapterFault.StopActive,
                $"Stop input {stop.Pin} is {stop.StopsAt.Word()}, which forbids the lines of this program. Nothing was driven. Release it when the cause is known, or move the axis off its limit, or check that input's lead.");
        }
    }

    private void LookRaw()
    {
        _begins.Enqueue(_clock.Now);
        if (_begins.Count > _board.LooksBehind + 1)
            _begins.Dequeue();
        _board.Look(_looked, _next);
    }

    private void Look(bool measuredBefore = false)
    {
        LookRaw();
        var end = Now;
        var width = end - _known;
        _looks++;
        if (!measuredBefore)
        {
            _widths += width;
            _longestWidth = Math.Max(_longestWidth, width);
            if (width > _times.Resolution.Picoseconds)
            {
                _lateLooks++;
                AddGap(_known, end, GapReason.HostLate);
            }
        }
        for (var pin = 0; pin < _looked.Length; pin++)
        {
            if (_next[pin] == _seen[pin])
                continue;
            var name = _looked[pin].Name;
            // What a line was just told it did not do before it was told.
            var after = _written.TryGetValue(name, out var written) && written.Level == _next[pin] ? Math.Max(_known, written.Begin) : _known;
            _changes[name].Add(new(At(after), At(end), _next[pin]));
        }
        _written.Clear();
        _known = Math.Max(0, _begins.Peek() - _origin);
        _end = end;
        var before = _seen;
        (_seen, _next) = (_next, _seen);
        if (NewlyStopped(before) is { } stop)
            Stop(new(CaptureOutcome.StopInput, stop));
        else if (_cancellation.IsCancellationRequested)
            Stop(new(CaptureOutcome.HostByte, null));
        else
            CheckOnTimes();
    }

    private void Serve(StimulusStep step)
    {
        _stepLateness.Add(new(Math.Max(0, Now - step.At.Picoseconds)));
        if (step is MeasureStep measure)
        {
            Measure(measure);
            return;
        }
        var on = ((LinesStep)step).OnPins;
        if (Forbidding(on) is { } stop)
            Stop(new(CaptureOutcome.StopInput, stop.Pin));
        else
            Switch(on);
    }

    /// <exception cref="AdapterException">A line that went off had been on for longer than it may be. All lines are idle then.</exception>
    private void Switch(ImmutableArray<string> on)
    {
        (LineLimit Line, Duration On)? tooLong = null;
        // Off before on: two lines that are kept apart do not meet for the time of one write.
        foreach (var line in _limits.Lines.OrderBy(line => on.Contains(line.Pin)))
        {
            var shall = on.Contains(line.Pin);
            if (shall == _onSince.ContainsKey(line.Pin))
                continue;
            var level = shall ? line.Idle.Inverted() : line.Idle;
            var begin = Now;
            if (shall)
                _onSince[line.Pin] = begin;
            _board.Write(_pins[line.Pin], level);
            var end = Now;
            if (!shall)
            {
                var lasted = new Duration(end - _onSince[line.Pin]);
                if (lasted > line.LongestOn)
                    tooLong ??= (line, lasted);
                _onSince.Remove(line.Pin);
                _offAt[line.Pin] = _clock.Now;
            }
            if (_board.ReadsLinesBack && _pins[line.Pin].IsInput)
                _written[line.Pin] = (begin, end, level);
            else
                _changes[line.Pin].Add(new(At(begin), At(end), level));
        }
        if (tooLong is not var (over, lastedFor))
            return;
        Switch([]);
        throw new AdapterException(
            AdapterFault.HostLate,
            $"This computer was late: line {over.Pin} was on for {lastedFor}, and {over.LongestOn} is its limit. All lines are idle. Close other programs, then sweep again; or use an adapter with our own firmware, which keeps limits by itself.");
    }

    /// <summary>Voltages instead of looks. Stop inputs are looked at between conversions.</summary>
    private void Measure(MeasureStep step)
    {
        var from = _known;
        var at = At(Now);
        var readings = _board.ReadVolts([.. step.Pins.Select(pin => _pins[pin])], step.Samples, () =>
        {
            LookRaw();
            // Levels of pins that are read as voltages meanwhile mean nothing; stop inputs are not among them.
            if (_limits.Stops.FirstOrDefault(stop => LevelIn(_next, stop.Pin) == stop.StopsAt && !step.Pins.Contains(stop.Pin) && stop.Lines.Any(_onSince.ContainsKey)) is { } stop)
                Stop(new(CaptureOutcome.StopInput, stop.Pin));
            else if (_cancellation.IsCancellationRequested)
                Stop(new(CaptureOutcome.HostByte, null));
            else
                CheckOnTimes();
            return _ending is null;
        });
        _levels.AddRange(readings.Select(reading => reading with { At = at }));
        for (var look = 0; look < _board.LooksBehind; look++)
            LookRaw();
        if (_ending is null)
            Look(measuredBefore: true);
        else
            _end = Now;
        AddGap(from, _end, GapReason.MeasuringLevels);
    }

    private void Stop(CaptureEnding ending)
    {
        Switch([]);
        _ending = ending;
    }

    /// <summary>
    /// The program was checked before it began, so this is the host's own lateness: a limit was not kept, and nothing that follows would be either.
    /// </summary>
    private void CheckOnTimes()
    {
        if (_limits.Lines.Any(line => _onSince.TryGetValue(line.Pin, out var since) && Now - since > line.LongestOn.Picoseconds))
            Switch([]);
    }

    private StopLimit? Forbidding(ImmutableArray<string> on) =>
        _limits.Stops.FirstOrDefault(stop => LevelIn(_seen, stop.Pin) == stop.StopsAt && stop.Lines.Any(on.Contains));

    private string? NewlyStopped(Level[] before) => _limits.Stops
        .FirstOrDefault(stop => LevelIn(_seen, stop.Pin) == stop.StopsAt && (LevelIn(before, stop.Pin) != stop.StopsAt || stop.Lines.Any(_onSince.ContainsKey)))?.Pin;

    private Level LevelIn(Level[] levels, string pin) => levels[Array.FindIndex(_looked, looked => looked.Name == pin)];

    private void AddGap(long from, long to, GapReason reason)
    {
        if (_gaps.Count > 0 && _gaps[^1].Reason == reason && _gaps[^1].To >= At(from))
            _gaps[^1] = _gaps[^1] with { To = At(to) };
        else
            _gaps.Add(new(At(from), At(to), reason));
    }

    private Capture End()
    {
        if (_onSince.Count > 0)
            Switch([]);
        // What the last writes did to the lines belongs to the capture, too.
        if (_written.Count > 0)
        {
            _ending ??= new(CaptureOutcome.Complete, null);
            var ending = _ending;
            Look();
            _ending = ending;
        }
        return new(
            new(_clock.Tick),
            _times.Resolution,
            HostClock.Tolerance,
            At(Math.Max(_end, _changes.Values.Max(changes => changes.Count == 0 ? 0 : changes[^1].NotAfter.Picoseconds))),
            [.. _initial.Select(signal => new Signal(signal.Key, signal.Value, [.. _changes[signal.Key]]))],
            [.. _gaps],
            [.. _levels],
            _ending ?? new(CaptureOutcome.Complete, null))
        {
            HostTiming = new(_looks, new(_looks == 0 ? 0 : _widths / _looks), new(_longestWidth), _lateLooks, [.. _stepLateness]),
        };
    }

    private static Instant At(long sinceOrigin) => new(sinceOrigin);
}
