using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Simulation;

/// <summary>
/// An adapter and a board that do not exist, in virtual time: nothing is driven and nothing waits. The board is the one that the profile describes, with the
/// differences that real parts have, and with what <see cref="FaultPlan"/> breaks. It behaves like our own firmware, its limits included. Calls are
/// answered one after the other.
/// </summary>
public sealed class SimulatedAdapter : IAdapter
{
    /// <summary>A request and its answer over a link; that long the bench goes on meanwhile.</summary>
    private static readonly Duration RequestTakes = Duration.FromMilliseconds(4);

    /// <summary>The steps of a lead check (firmware-notes/link-protocol.md).</summary>
    private static readonly Duration _discharges = Duration.FromMicroseconds(50), _releases = Duration.FromMicroseconds(200), _pullsUp = Duration.FromMicroseconds(300);

    private readonly AdapterFigures _figures;
    private readonly SimulatedBoard _board;
    private readonly SimulatedPins _pins;
    private readonly Converter _converter;
    private readonly ImmutableDictionary<string, AdapterPin> _described;
    private readonly Dictionary<string, long> _offSince = [];
    private readonly Random _jitter;
    private readonly double _clock;
    private AdapterLimits? _limits;

    /// <param name="seed">The same seed gives the same bench and the same captures.</param>
    /// <param name="motorSupplyOn">Off for logic-only work, as the operator of a real bench has it.</param>
    public SimulatedAdapter(Board board, FaultPlan faults, int seed, bool motorSupplyOn)
        : this(board, faults, new Variation(seed), motorSupplyOn)
    {
    }

    /// <param name="variation">How the parts differ from what their types say, and the events from each other. The same gives the same captures.</param>
    /// <param name="motorSupplyOn">Off for logic-only work, as the operator of a real bench has it.</param>
    /// <param name="figures">Of the adapter; those of the reference firmware when left out.</param>
    /// <param name="realPins">
    /// Pins of a real adapter, which decide at which of the profile's pins a voltage can be read and a lead be checked. When left out, and for pins that it does not have,
    /// names decide.
    /// </param>
    public SimulatedAdapter(
        Board board, FaultPlan faults, Variation variation, bool motorSupplyOn, AdapterFigures? figures = null, ImmutableArray<AdapterPin> realPins = default)
    {
        _figures = figures ?? AdapterFigures.Reference;
        _board = new(board, faults, variation, motorSupplyOn);
        _pins = new(_board, _figures, variation.For("pins"));
        _converter = new(variation);
        _jitter = Variation.OfEvents(variation.For("adapter"));
        _clock = (Variation.Factor(variation.For("clock"), _figures.ClockTolerance * 0.8)) - 1;
        Pins = PinsFor(board, realPins.IsDefault ? [] : realPins);
        _described = Pins.ToImmutableDictionary(pin => pin.Name);
        Identity = new(
            AdapterIdentity.SimulatedKind,
            "this computer",
            $"SIMULATED bench ({variation})",
            AdapterIdentity.SimulatedKind,
            _figures.Tick,
            _figures.Resolution,
            _figures.ClockTolerance,
            _figures.Tick * _figures.StopBound,
            _figures.LongestProgram,
            _figures.Tick * _figures.Sample,
            PinVoltage.FiveVoltMaximum)
        {
            Look = _figures.Tick * _figures.Look,
        };
    }

    public AdapterIdentity Identity { get; }

    public ImmutableArray<AdapterPin> Pins { get; }

    /// <summary>The bench's own time, for tests: no capture knows it.</summary>
    internal EventQueue Time => _board.Time;

    /// <summary>What really happens at the pins, for tests.</summary>
    internal SimulatedPins True => _pins;

    public Task ArmAsync(AdapterLimits limits, CancellationToken cancellation)
    {
        Take(cancellation);
        Check(limits);
        Release();
        foreach (var line in limits.Lines)
            _board.Drive(line.Pin, line.Idle);
        if (!limits.Selects.IsEmpty)
            _board.Select([]);
        _board.TakeLoads(limits.Selects);
        _limits = limits;
        return Task.CompletedTask;
    }

    public Task ReleaseAsync(CancellationToken cancellation)
    {
        Take(cancellation);
        Release();
        return Task.CompletedTask;
    }

    public Task SelectAsync(ImmutableArray<string> high, CancellationToken cancellation)
    {
        Take(cancellation);
        var limits = Armed();
        if (high.FirstOrDefault(pin => !limits.Selects.Contains(pin)) is { } wrong)
            throw Refused($"Pin {wrong} was not armed as a select pin.");
        _board.Select(high);
        return Task.CompletedTask;
    }

    public Task<ImmutableDictionary<string, Level>> ReadInputsAsync(CancellationToken cancellation)
    {
        Take(cancellation);
        return Task.FromResult(_pins.Names.ToImmutableDictionary(pin => pin, _pins.LevelOf));
    }

    /// <inheritdoc/>
    /// <remarks>The readings carry <see cref="Instant.Start"/>: they belong to no capture.</remarks>
    public Task<ImmutableArray<LevelReading>> ReadLevelsAsync(ImmutableArray<string> pins, int samples, CancellationToken cancellation)
    {
        Take(cancellation);
        if (samples is < 1 or > AdapterFigures.MostSamples)
            throw Refused($"{samples} samples cannot be read at a time: 1 to {AdapterFigures.MostSamples}.");
        if (pins.FirstOrDefault(pin => !Can(pin, known => known.Analog)) is { } wrong)
            throw Refused($"No voltage can be read at pin {wrong}.");
        return Task.FromResult(pins.Select(pin =>
        {
            var counts = new List<int>(samples);
            for (var sample = 0; sample < samples; sample++)
            {
                counts.Add(_converter.Convert(_pins.VoltsAt(pin)));
                Pass(_figures.Tick * _figures.Converts);
            }
            return Converter.Reading(pin, Instant.Start, counts);
        }).ToImmutableArray());
    }

    public Task<ImmutableArray<LeadReading>> CheckLeadsAsync(ImmutableArray<string> pins, CancellationToken cancellation)
    {
        Take(cancellation);
        _ = Armed();
        if (pins.FirstOrDefault(pin => !Can(pin, known => known.Sense && !known.Line)) is { } wrong)
            throw Refused($"The lead at pin {wrong} cannot be checked: it is no input, or a line, and to discharge a line would be a command.");
        return Task.FromResult(pins.Where(pin => _described[pin].CanCheckLead).Select(pin =>
        {
            var lead = _board.Senses[pin];
            lead.Discharge();
            Pass(_discharges);
            lead.Release();
            Pass(_releases);
            var afterDischarge = lead.Level;
            lead.PullUp();
            Pass(_pullsUp);
            var afterPullUp = lead.Level;
            lead.Release();
            return new LeadReading(pin, afterDischarge, afterPullUp);
        }).ToImmutableArray());
    }

    public Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation)
    {
        Take(cancellation);
        var limits = Armed();
        if (program.Fine is { } fine)
            throw Refused($"Pin {fine.Pin} cannot be stamped by hardware: the simulated bench only looks.");
        new ProgramCheck(_figures.Rules, limits, _described).Check(program);
        var used = program.Steps.OfType<LinesStep>().SelectMany(step => step.OnPins).ToHashSet();
        if (limits.Stops.FirstOrDefault(stop => stop.Lines.Any(used.Contains) && _pins.LevelOf(stop.Pin) == stop.StopsAt) is { } active)
        {
            throw new AdapterException(
                AdapterFault.StopActive,
                $"The simulated adapter refused to run the program: stop input {active.Pin} is in its stopping state. Nothing was driven. Release the emergency stop, or move the axis off its limit, or check that input's lead.");
        }
        Rest(limits, program);
        var started = _board.Time.Now;
        var burst = new Burst(_figures, _pins, _converter, limits, program, _clock, _jitter);
        var capture = burst.Run();
        foreach (var (line, at) in burst.OffAt)
            _offSince[line] = at;
        var elapsed = TimeSpan.FromTicks((_board.Time.Now - started + RequestTakes.Picoseconds) / 100_000);
        return Task.FromResult(new BurstRun(capture, elapsed));
    }

    public ValueTask DisposeAsync()
    {
        Release();
        return ValueTask.CompletedTask;
    }

    /// <summary>
    /// The pins that the profile names, each with what the profile wants of it. Which of them read voltages is not in a profile: without a real adapter that tells, and by the names
    /// of our own board, A0 to A15 do and its other pins (D22, …) do not; pins with names of another kind all do.
    /// </summary>
    private static ImmutableArray<AdapterPin> PinsFor(Board board, ImmutableArray<AdapterPin> realPins)
    {
        var lines = board.Lines.Select(line => line.AdapterPin).ToHashSet();
        var stops = board.Stops.Select(stop => stop.Point.AdapterPin).ToHashSet();
        return
        [
            .. lines.Concat(board.TestPoints.Select(point => point.AdapterPin).OfType<string>()).Distinct().Select(pin =>
            {
                var (line, real) = (lines.Contains(pin), realPins.FirstOrDefault(known => known.Name == pin));
                return new AdapterPin(pin, line, Sense: true, Analog: !line && (real?.Analog ?? !IsDigitalName(pin)), stops.Contains(pin)) { CanCheckLead = !line && (real?.CanCheckLead ?? true) };
            }),
            .. board.Multiplexers.SelectMany(multiplexer => multiplexer.SelectPins).Concat(board.Socket?.Loads.Select(load => load.AdapterPin) ?? []).Distinct().Select(pin => new AdapterPin(pin, Line: false, Sense: false, Analog: false, Stop: false, Select: true)),
        ];
    }

    /// <summary>As boards with our firmware name their pins: D22 sees levels only, A0 reads voltages.</summary>
    internal static bool IsDigitalName(string pin) => pin.Length > 1 && pin[0] == 'D' && pin.AsSpan(1).IndexOfAnyExceptInRange('0', '9') < 0;

    private void Check(AdapterLimits limits)
    {
        if (limits.Lines.FirstOrDefault(line => !Can(line.Pin, pin => pin.Line)) is { } notALine)
            throw Refused($"Pin {notALine.Pin} cannot drive a line.");
        if (limits.Stops.FirstOrDefault(stop => !Can(stop.Pin, pin => pin.Stop)) is { } notAStop)
            throw Refused($"Pin {notAStop.Pin} cannot be a stop input.");
        if (limits.Selects.FirstOrDefault(pin => !Can(pin, known => known.Select)) is { } notASelect)
            throw Refused($"Pin {notASelect} cannot select a multiplexer's input.");
        if (limits.Lines.IsEmpty)
            throw Refused("There is no line to arm.");
        if (limits.Heartbeat < AdapterFigures.ShortestHeartbeat || limits.Heartbeat > AdapterFigures.LongestHeartbeat)
            throw Refused($"A heartbeat limit of {limits.Heartbeat} is outside what the adapter allows: {AdapterFigures.ShortestHeartbeat} to {AdapterFigures.LongestHeartbeat}.");
    }

    private bool Can(string pin, Func<AdapterPin, bool> can) => _described.TryGetValue(pin, out var known) && can(known);

    private static AdapterException Refused(string why) => new(AdapterFault.Refused, $"The simulated adapter refused: {why}");

    private AdapterLimits Armed() => _limits ?? throw new InvalidOperationException("The adapter is not armed: call ArmAsync first.");

    private void Release()
    {
        foreach (var line in _board.Lines.Keys)
            _board.Drive(line, null);
        _board.TakeLoads([]);
        _limits = null;
    }

    private void Take(CancellationToken cancellation)
    {
        cancellation.ThrowIfCancellationRequested();
        Pass(RequestTakes);
    }

    private void Pass(Duration duration) => _board.Time.RunUntil(_board.Time.Now + duration.Picoseconds);

    /// <summary>A host waits until each line has had its rest; virtual time passes at once.</summary>
    private void Rest(AdapterLimits limits, StimulusProgram program)
    {
        var wait = Duration.Zero;
        foreach (var line in limits.Lines)
        {
            var first = program.Steps.OfType<LinesStep>().FirstOrDefault(step => step.OnPins.Contains(line.Pin));
            if (first is not null && _offSince.TryGetValue(line.Pin, out var off))
                wait = Duration.Max(wait, line.Rest - first.At - new Duration(_board.Time.Now - off));
        }
        // By its own clock the device may count a little short.
        Pass(wait.Scaled(1 + _figures.ClockTolerance));
    }
}
