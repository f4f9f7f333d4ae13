using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Simulation;

/// <summary>
/// One program on the simulated device: looks at all pins again and again, keeps what changed, serves steps, and stops. Counts in ticks of a clock
/// that is not exactly right, as a resonator's is.
/// </summary>
internal sealed class Burst
{
    private readonly AdapterFigures _figures;
    private readonly SimulatedPins _pins;
    private readonly Converter _converter;
    private readonly AdapterLimits _limits;
    private readonly StimulusProgram _program;
    private readonly double _clock;
    private readonly Random _jitter;
    private readonly long _origin;
    private readonly List<long> _stamps = [];
    private readonly List<TickGap> _gaps = [];
    private readonly List<Gap> _told = [];
    private readonly List<LevelReading> _levels = [];
    private readonly (Level Initial, List<(int Record, Level Level)>? Turns)[] _signals;
    private readonly (int Pin, Level StopsAt, StopLimit Limit)[] _stops;
    private readonly Dictionary<string, long> _offAt = [];
    private ImmutableArray<string> _on = [];

    /// <summary>Those that end a line which is on.</summary>
    private (int Pin, Level StopsAt, StopLimit Limit)[] _stopsInForce = [];
    private string? _stoppedBy;
    private bool _endedByHost;
    private bool _full;
    private Capture? _capture;

    /// <param name="clock">The clock's error as a fraction: positive when its ticks are too long.</param>
    public Burst(
        AdapterFigures figures, SimulatedPins pins, Converter converter, AdapterLimits limits, StimulusProgram program, double clock, Random jitter)
    {
        (_figures, _pins, _converter, _limits, _program, _clock, _jitter) = (figures, pins, converter, limits, program, clock, jitter);
        _origin = pins.Board.Time.Now;
        _signals = new (Level, List<(int, Level)>?)[pins.Names.Length];
        _stops = [.. limits.Stops.Select(stop => (pins.IndexOf(stop.Pin), stop.StopsAt, stop))];
    }

    /// <summary>When each line that was on went off, in picoseconds of the bench.</summary>
    public IReadOnlyDictionary<string, long> OffAt => _offAt;

    /// <summary>Whether a byte has come from the host since the start, which ends the program when housekeeping looks for it. Null where nobody can send one.</summary>
    public Func<bool>? HasHostByte { get; init; }

    public Capture Run()
    {
        foreach (var _ in Go())
        {
            // Nobody waits for the bench's time.
        }
        return Capture;
    }

    /// <summary>What was captured, once the program has come to its end.</summary>
    public Capture Capture => _capture ?? throw new InvalidOperationException("The program has not come to its end.");

    /// <summary>Goes on with the program from instant to instant, for whoever has a time of his own.</summary>
    /// <returns>Instants of the bench, in picoseconds: when this is asked for the next one, the bench goes on to the one told last.</returns>
    public IEnumerable<long> Go()
    {
        var ends = _figures.Nearest(_program.Length);
        var steps = _program.Steps.Select(step => (At: _figures.Nearest(step.At), Step: step)).ToArray();
        var next = 0;
        long look = 40;
        var housekeeping = _figures.HousekeepingPeriod;
        yield return At(look);
        _ = LookAt(look);
        Level[] seen = [.. _pins.Seen];
        Start(look, seen);
        var pause = _figures.RecordTakes;
        while (true)
        {
            // Looks at which nothing can happen are passed over.
            var due = Math.Min(Math.Min(next < steps.Length ? steps[next].At : ends, housekeeping) - _figures.LookToPoll, NextChange());
            look += pause + (_figures.Look * Math.Max(1, (due - look - pause) / _figures.Look));
            pause = 0;
            yield return At(look);
            if (LookAt(look) && !_pins.Seen.SequenceEqual(seen))
            {
                Keep(look, seen, _pins.Seen);
                pause += _figures.RecordTakes;
                _stoppedBy = StopNewly(seen, _pins.Seen);
                _pins.Seen.CopyTo(seen);
                if (_stoppedBy is not null)
                    break;
            }
            if (look + pause + _figures.LookToPoll >= housekeeping)
            {
                housekeeping += _figures.HousekeepingPeriod;
                pause += _figures.HousekeepingTakes;
                if (HasHostByte?.Invoke() == true)
                {
                    _endedByHost = true;
                    break;
                }
            }
            var poll = look + pause + _figures.LookToPoll;
            if (next < steps.Length && poll >= steps[next].At)
            {
                if (steps[next].Step is LinesStep lines)
                {
                    Switch(poll + _figures.PollToLines, lines.OnPins);
                    pause += _figures.StepTakes;
                }
                else
                {
                    var measure = (MeasureStep)steps[next].Step;
                    yield return At(poll + (_figures.Sample * measure.Samples * measure.Pins.Length));
                    look = Measure(steps[next].At, poll, measure);
                    if (_stoppedBy is not null)
                        break;
                    housekeeping = ((look / _figures.HousekeepingPeriod) + 1) * _figures.HousekeepingPeriod;
                    pause = _jitter.Next(11);
                }
                next++;
            }
            else if (next == steps.Length && poll >= ends)
            {
                look = poll;
                break;
            }
        }
        var off = look + _figures.Look;
        yield return At(off);
        Switch(off, []);
        _capture = Told(off + _jitter.Next(60), [.. steps.Select(step => step.At), ends]);
    }

    /// <summary>The bench's instant of a tick.</summary>
    private long At(long tick) => _origin + (long)Math.Round(tick * _figures.Tick.Picoseconds * (1 + _clock));

    /// <summary>The first tick not before an instant of the bench.</summary>
    private long TickOf(long instant) => (long)Math.Ceiling((instant - _origin) / (_figures.Tick.Picoseconds * (1 + _clock)));

    private bool LookAt(long tick)
    {
        _pins.Board.Time.RunUntil(At(tick));
        return _pins.LookAt(_pins.Board.Time.Now);
    }

    /// <summary>The tick at which a look can show something new.</summary>
    private long NextChange()
    {
        var instant = Math.Min(_pins.Board.Time.NextAt, _pins.NextVisible);
        return instant == long.MaxValue ? long.MaxValue : TickOf(instant) - 1;
    }

    private void Start(long stamp, Level[] seen)
    {
        _stamps.Add(stamp);
        for (var pin = 0; pin < seen.Length; pin++)
            _signals[pin].Initial = seen[pin];
    }

    private void Keep(long stamp, ReadOnlySpan<Level> before, ReadOnlySpan<Level> now)
    {
        if (_full)
            return;
        if (_stamps.Count == AdapterFigures.MostChanges)
        {
            _full = true;
            return;
        }
        for (var pin = 0; pin < now.Length; pin++)
        {
            if (now[pin] != before[pin])
                (_signals[pin].Turns ??= []).Add((_stamps.Count, now[pin]));
        }
        _stamps.Add(stamp);
    }

    private string? StopNewly(ReadOnlySpan<Level> before, ReadOnlySpan<Level> now)
    {
        foreach (var (pin, stopsAt, limit) in _stops)
        {
            if (now[pin] == stopsAt && before[pin] != stopsAt)
                return limit.Pin;
        }
        return null;
    }

    private void Switch(long tick, ImmutableArray<string> on)
    {
        _pins.Board.Time.RunUntil(At(tick));
        foreach (var line in _limits.Lines)
        {
            if (on.Contains(line.Pin) == _on.Contains(line.Pin))
                continue;
            _pins.Board.Drive(line.Pin, on.Contains(line.Pin) ? line.Idle.Inverted() : line.Idle);
            if (!on.Contains(line.Pin))
                _offAt[line.Pin] = _pins.Board.Time.Now;
        }
        _on = on;
        _stopsInForce = on.IsEmpty ? [] : [.. _stops.Where(stop => stop.Limit.Lines.AsSpan().ContainsAny(on.AsSpan()))];
    }

    /// <summary>Reads voltages and looks at nothing else, stop inputs excepted. Returns the tick at which it is done.</summary>
    private long Measure(long stepAt, long tick, MeasureStep step)
    {
        var from = Math.Max(0, stepAt - _figures.GapBeforeStep);
        tick += 60;
        foreach (var pin in step.Pins)
        {
            var counts = new List<int>(step.Samples);
            var at = tick;
            for (var sample = 0; sample < step.Samples && _stoppedBy is null; sample++)
            {
                _pins.Board.Time.RunUntil(At(tick));
                counts.Add(_converter.Convert(_pins.VoltsAt(pin)));
                tick += _figures.Converts + _jitter.Next((int)_figures.ConverterWait) + 20;
                _pins.Board.Time.RunUntil(At(tick));
                _stoppedBy = StopInForce();
            }
            _levels.Add(Converter.Reading(pin, Instant.Start + (_figures.Tick * at), counts));
            if (_stoppedBy is not null)
                break;
        }
        Tell(new(from, tick), GapReason.MeasuringLevels);
        return tick;
    }

    private string? StopInForce()
    {
        foreach (var (pin, stopsAt, limit) in _stopsInForce)
        {
            if (_pins.LevelOf(pin) == stopsAt)
                return limit.Pin;
        }
        return null;
    }

    private void Tell(TickGap gap, GapReason reason)
    {
        _gaps.Add(gap);
        _told.Add(new(Instant.Start + (_figures.Tick * gap.From), Instant.Start + (_figures.Tick * gap.To), reason));
    }

    private Capture Told(long end, long[] steps)
    {
        // What came after the last record that found room is not known.
        var intervals = _figures.Looks.Intervals(_stamps.ToArray(), steps, _gaps.ToArray());
        if (_full)
            Tell(new(_stamps[^1], end), GapReason.NoRoomForChanges);
        return new(
            _figures.Tick,
            _figures.Resolution,
            _figures.ClockTolerance,
            Instant.Start + (_figures.Tick * end),
            [.. _signals.Select((signal, pin) => new Signal(
                _pins.Names[pin], signal.Initial,
                signal.Turns is { } turns ? [.. turns.Select(turn => intervals[turn.Record - 1].To(turn.Level, _figures.Tick))] : []))],
            [.. _told.OrderBy(gap => gap.From)],
            [.. _levels],
            new(_endedByHost ? CaptureOutcome.HostByte : _stoppedBy is null ? CaptureOutcome.Complete : CaptureOutcome.StopInput, _stoppedBy));
    }
}
