using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>
/// Pins that this computer times by itself: its looks and steps are as punctual as its scheduler, which is measured under load when the adapter is opened. The
/// limits of lines are checked before a program's first step and kept by the host alone. Calls are served one after the other, on a thread of the adapter's own.
/// </summary>
public sealed class GpioAdapter : IAdapter
{
    private static readonly Duration _longestProgram = Duration.FromMilliseconds(30_000);

    /// <summary>Far more than a schedule has, few enough to check at once.</summary>
    private const int MostSteps = 1000, MostLevels = 1000, MostSamples = 64;

    /// <summary>How often a wait for a line's rest looks whether it was cancelled.</summary>
    private const long RestSlice = 10_000_000_000;

    private readonly PinBoard _board;
    private readonly IHostClock _clock;
    private readonly LookTimes _times;
    private readonly ImmutableDictionary<string, BoardPin> _all;
    private readonly SemaphoreSlim _call = new(1, 1);
    private readonly Dictionary<string, long> _offSince = [];
    private ImmutableDictionary<string, BoardPin> _used;
    private AdapterLimits? _limits;
    private bool _broken;
    private bool _disposed;

    private GpioAdapter(PinBoard board, IHostClock clock, ImmutableDictionary<string, BoardPin> used, LookTimes times)
    {
        (_board, _clock, _used, _times) = (board, clock, used, times);
        _all = board.Pins.ToImmutableDictionary(pin => pin.Name);
        Pins = [.. board.Pins.Select(pin => pin.Described)];
        Identity = new(
            AdapterIdentity.GpioKind, board.Place, board.Name, board.Firmware, new(clock.Tick), times.Resolution, HostClock.Tolerance,
            StopBound: times.Resolution + times.Longest, _longestProgram, board.SampleTime, board.PinMaximum)
        {
            IsHostTimed = true,
            ReadsLinesBack = board.ReadsLinesBack,
            ArmsHighCleanly = board.ArmsHighCleanly,
        };
    }

    public AdapterIdentity Identity { get; }

    public ImmutableArray<AdapterPin> Pins { get; }

    /// <summary>Opens the pins and measures, for half a second and with all cores busy, how well this computer looks at them. Nothing is driven.</summary>
    /// <param name="pins">
    /// The adapter pins that will be used. They become inputs now; no other pin is touched, since a computer's own pins may carry its memory card or its console.
    /// </param>
    /// <exception cref="AdapterException">No such board, bus or port; busy or not permitted; or the driver failed.</exception>
    public static Task<GpioAdapter> OpenAsync(GpioAddress address, IReadOnlyCollection<string> pins, CancellationToken cancellation) =>
        Task.Run(
            () =>
            {
                var board = GpioBoards.Open(address);
                using var load = new HostLoad();
                return Open(board, pins, new HostClock());
            },
            cancellation);

    /// <summary>The same with any board and clock. Takes over the board, also when it throws.</summary>
    internal static GpioAdapter Open(PinBoard board, IReadOnlyCollection<string> pins, IHostClock clock)
    {
        try
        {
            var used = board.Pins.Where(pin => pins.Contains(pin.Name)).ToImmutableDictionary(pin => pin.Name);
            foreach (var pin in used.Values.Where(pin => pin.IsInput))
                board.ToInput(pin);
            var times = LookTimes.Measure(board, Sensed(used), clock);
            board.Expect(times);
            return new(board, clock, used, times);
        }
        catch (Exception cause) when (IsDriverFailure(cause))
        {
            board.Dispose();
            throw new AdapterException(AdapterFault.Missing, $"{board.Name} at {board.Place} failed while its pins were opened: {Cause(cause)} Check its wiring and that nothing else uses these pins.", cause);
        }
    }

    public Task ArmAsync(AdapterLimits limits, CancellationToken cancellation) => CallAsync(() =>
    {
        Check(limits);
        ReleaseAll();
        foreach (var name in limits.Lines.Select(line => line.Pin).Concat(limits.Selects).Concat(limits.Stops.Select(stop => stop.Pin)))
            _used = _used.SetItem(name, _all[name]);
        _limits = limits;
        foreach (var stop in limits.Stops)
            _board.ToInput(_all[stop.Pin]);
        foreach (var line in limits.Lines)
            _board.ToOutput(_all[line.Pin], line.Idle);
        foreach (var select in limits.Selects)
            _board.ToOutput(_all[select], Level.Low);
        return true;
    }, cancellation);

    public Task ReleaseAsync(CancellationToken cancellation) => CallAsync(() =>
    {
        ReleaseAll();
        return true;
    }, cancellation);

    public Task SelectAsync(ImmutableArray<string> high, CancellationToken cancellation) => WhenArmedAsync(limits =>
    {
        if (high.FirstOrDefault(pin => !limits.Selects.Contains(pin)) is { } wrong)
            throw Refused($"Pin {wrong} was not armed as a select pin.");
        foreach (var select in limits.Selects)
            _board.Write(_all[select], high.Contains(select) ? Level.High : Level.Low);
        return true;
    }, cancellation);

    public Task<ImmutableDictionary<string, Level>> ReadInputsAsync(CancellationToken cancellation) => CallAsync(() =>
    {
        var looked = Looked();
        var levels = new Level[looked.Length];
        for (var look = 0; look <= _board.LooksBehind; look++)
            _board.Look(looked.AsSpan(), levels);
        var read = looked.Select((pin, index) => KeyValuePair.Create(pin.Name, levels[index])).ToImmutableDictionary();
        // Nothing but a program switches a line on, and after it all are idle.
        return _limits is { } limits ? read.AddRange(limits.Lines.Where(line => !read.ContainsKey(line.Pin)).Select(line => KeyValuePair.Create(line.Pin, line.Idle))) : read;
    }, cancellation);

    /// <inheritdoc/>
    /// <remarks>The readings carry <see cref="Instant.Start"/>: they belong to no capture.</remarks>
    public Task<ImmutableArray<LevelReading>> ReadLevelsAsync(ImmutableArray<string> pins, int samples, CancellationToken cancellation) => CallAsync(() =>
    {
        if (samples is < 1 or > MostSamples)
            throw Refused($"{samples} samples cannot be read at a time: 1 to {MostSamples}.");
        if (pins.FirstOrDefault(pin => !_all.TryGetValue(pin, out var known) || known.Channel is null) is { } wrong)
            throw Refused($"No voltage can be read at pin {wrong}.");
        var readings = _board.ReadVolts([.. pins.Distinct().Select(pin => _all[pin])], samples, () => !cancellation.IsCancellationRequested);
        cancellation.ThrowIfCancellationRequested();
        return pins.Select(pin => readings.First(reading => reading.Signal == pin)).ToImmutableArray();
    }, cancellation);

    /// <inheritdoc/>
    /// <remarks>Where a pin has a pull-down, that takes the place of a discharge: nothing is driven then.</remarks>
    public Task<ImmutableArray<LeadReading>> CheckLeadsAsync(ImmutableArray<string> pins, CancellationToken cancellation) => WhenArmedAsync(limits =>
    {
        if (pins.FirstOrDefault(name => limits.Lines.Any(line => line.Pin == name) || limits.Selects.Contains(name)) is { } driven)
            throw Refused($"The lead of {driven} cannot be checked: the adapter drives that pin.");
        var readings = ImmutableArray.CreateBuilder<LeadReading>();
        foreach (var pin in pins.Select(name => _all[name]).Where(pin => pin.PullsUp))
        {
            cancellation.ThrowIfCancellationRequested();
            if (!pin.PullsDown && !pin.IsOutput)
                continue;
            try
            {
                if (pin.PullsDown)
                {
                    _board.PullDown(pin);
                }
                else
                {
                    _board.ToOutput(pin, Level.Low);
                    _board.ToInput(pin);
                }
                var low = LevelOf(pin);
                _board.PullUp(pin);
                readings.Add(new(pin.Name, low, LevelOf(pin)));
            }
            finally
            {
                // Never left driving against the board, whatever failed.
                _board.ToInput(pin);
            }
        }
        return readings.ToImmutable();
    }, cancellation);

    public Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation) => WhenArmedAsync(limits =>
    {
        var rules = new ProgramRules(
            "The adapter", new(_clock.Tick), _longestProgram, EarliestStep: 0, StepSpacing: 0, _board.SampleTime.Picoseconds / _clock.Tick, MostSteps, MostLevels, MostSamples)
        {
            StepLateness = Identity.StepLateness,
        };
        new ProgramCheck(rules, limits, _all.ToImmutableDictionary(pin => pin.Key, pin => pin.Value.Described)).Check(program);
        var asked = _clock.Now;
        Rest(limits, program, cancellation);
        var burst = new GpioBurst(_board, _clock, _times, limits, program, _used, Looked(), cancellation);
        try
        {
            var capture = burst.Run();
            return new BurstRun(capture, TimeSpan.FromTicks((_clock.Now - asked) / 100_000));
        }
        finally
        {
            foreach (var (line, at) in burst.OffAt)
                _offSince[line] = at;
        }
    }, cancellation);

    public async ValueTask DisposeAsync()
    {
        if (_disposed)
            return;
        _disposed = true;
        await _call.WaitAsync();
        try
        {
            if (!_broken)
                ReleaseAll();
        }
        catch (Exception cause) when (IsDriverFailure(cause))
        {
            // Disposing is the way out. ReleaseAsync, which comes before it, is where such a failure is told.
        }
        finally
        {
            _board.Dispose();
            _call.Dispose();
        }
    }

    private Level LevelOf(BoardPin pin)
    {
        Span<Level> level = stackalloc Level[1];
        for (var look = 0; look <= _board.LooksBehind; look++)
            _board.Look([pin], level);
        return level[0];
    }

    /// <summary>Lines idle first, then inputs. Everything is tried, whatever fails; the first failure is thrown then.</summary>
    private void ReleaseAll()
    {
        if (_limits is not { } limits)
            return;
        Exception? first = null;
        void Try(Action action)
        {
            try
            {
                action();
            }
            catch (Exception cause) when (IsDriverFailure(cause))
            {
                first ??= cause;
            }
        }

        foreach (var line in limits.Lines)
            Try(() => _board.Write(_all[line.Pin], line.Idle));
        foreach (var pin in limits.Lines.Select(line => line.Pin).Concat(limits.Selects).Select(name => _all[name]).Where(pin => pin.IsInput))
            Try(() => _board.ToInput(pin));
        _limits = null;
        if (first is not null)
            throw first;
    }

    /// <summary>Waits until each line of the program has had its rest since it was last on.</summary>
    private void Rest(AdapterLimits limits, StimulusProgram program, CancellationToken cancellation)
    {
        var until = _clock.Now;
        foreach (var line in limits.Lines)
        {
            var first = program.Steps.OfType<LinesStep>().FirstOrDefault(step => step.OnPins.Contains(line.Pin));
            if (first is not null && _offSince.TryGetValue(line.Pin, out var off))
                until = Math.Max(until, off + line.Rest.Picoseconds - first.At.Picoseconds);
        }
        while (_clock.Now < until)
        {
            cancellation.ThrowIfCancellationRequested();
            _clock.WaitUntil(Math.Min(until, _clock.Now + RestSlice));
        }
    }

    private void Check(AdapterLimits limits)
    {
        if (limits.Lines.IsEmpty)
            throw Refused("There is no line to arm.");
        if (limits.Lines.FirstOrDefault(line => !Can(line.Pin, pin => pin.IsOutput)) is { } notALine)
            throw Refused($"Pin {notALine.Pin} cannot drive a line.");
        if (limits.Selects.FirstOrDefault(select => !Can(select, pin => pin.IsOutput)) is { } notASelect)
            throw Refused($"Pin {notASelect} cannot be a select pin.");
        if (limits.Stops.FirstOrDefault(stop => !Can(stop.Pin, pin => pin.IsInput)) is { } notAStop)
            throw Refused($"Pin {notAStop.Pin} cannot be a stop input.");
        var driven = limits.Lines.Select(line => line.Pin).Concat(limits.Selects).ToList();
        if (driven.Concat(limits.Stops.Select(stop => stop.Pin).Distinct()).GroupBy(pin => pin).FirstOrDefault(uses => uses.Count() > 1) is { } twice)
            throw Refused($"Pin {twice.Key} cannot be two of line, select pin and stop input.");
    }

    private bool Can(string pin, Func<BoardPin, bool> can) => _all.TryGetValue(pin, out var known) && can(known);

    /// <summary>What is looked at: the inputs in use, and lines that can be read back.</summary>
    private ImmutableArray<BoardPin> Looked()
    {
        var selects = _limits?.Selects ?? [];
        var lines = _limits is null || _board.ReadsLinesBack ? [] : _limits.Lines.Select(line => line.Pin).ToImmutableArray();
        return [.. Sensed(_used).Where(pin => !selects.Contains(pin.Name) && !lines.Contains(pin.Name))];
    }

    private static BoardPin[] Sensed(ImmutableDictionary<string, BoardPin> used) => [.. used.Values.Where(pin => pin.IsInput).OrderBy(pin => pin.Number)];

    private static AdapterException Refused(string why) => new(AdapterFault.Refused, $"The adapter refused: {why}");

    /// <summary>One call after the other, each on a thread of its own: a program needs one that nothing else waits for.</summary>
    private async Task<T> CallAsync<T>(Func<T> body, CancellationToken cancellation)
    {
        ObjectDisposedException.ThrowIf(_disposed, this);
        await _call.WaitAsync(cancellation);
        try
        {
            cancellation.ThrowIfCancellationRequested();
            return await OnOwnThreadAsync(body);
        }
        catch (Exception cause) when (IsDriverFailure(cause))
        {
            throw Broken(cause);
        }
        finally
        {
            _call.Release();
        }
    }

    /// <exception cref="InvalidOperationException">Not armed: a mistake of the caller, and no failure of the board.</exception>
    private Task<T> WhenArmedAsync<T>(Func<AdapterLimits, T> body, CancellationToken cancellation)
    {
        var limits = _limits ?? throw new InvalidOperationException("The adapter is not armed: call ArmAsync first.");
        return CallAsync(() => body(limits), cancellation);
    }

    private static Task<T> OnOwnThreadAsync<T>(Func<T> body)
    {
        var done = new TaskCompletionSource<T>(TaskCreationOptions.RunContinuationsAsynchronously);
        var thread = new Thread(() =>
        {
            try
            {
                done.SetResult(body());
            }
            catch (Exception cause)
            {
                // Thrown again to whoever awaits.
                done.SetException(cause);
            }
        })
        {
            IsBackground = true,
            Name = "host-timed pins",
            Priority = ThreadPriority.Highest,
        };
        thread.Start();
        return done.Task;
    }

    /// <summary>The driver failed somewhere: lines are told to go idle, and it is said whether that could be done.</summary>
    private AdapterException Broken(Exception cause)
    {
        _broken = true;
        var armed = _limits is not null;
        string lines;
        try
        {
            ReleaseAll();
            lines = armed ? "All lines were told to go idle." : "Nothing was driven.";
        }
        catch (Exception again) when (IsDriverFailure(again))
        {
            lines = "Its lines could not be told to go idle and may still be on: switch the board off.";
        }
        return new(AdapterFault.Unplugged, $"{_board.Name} at {_board.Place} failed: {Cause(cause)} {lines} Check its cable and supply, then start again.", cause);
    }

    /// <summary>
    /// Drivers throw whatever the system or the chip makes them; only what this program threw by itself, and what no program survives, is something else.
    /// </summary>
    private static bool IsDriverFailure(Exception cause) => cause is not (AdapterException or OperationCanceledException or OutOfMemoryException);

    private static string Cause(Exception cause) => cause.Message.TrimEnd('.', ' ').ToString(CultureInfo.InvariantCulture) + ".";
}
