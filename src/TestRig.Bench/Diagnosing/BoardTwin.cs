using System.Collections.Concurrent;
using System.Collections.Immutable;
using System.Globalization;
using System.Numerics;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Injecting;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Diagnosing.Reasoning;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Diagnosing;

/// <summary>
/// What faults do to a board, found by trying: the same sweep of a board made of nominal parts, without noise, with the fault put in. Each is tried once, when it is first asked for.
/// </summary>
internal sealed class BoardTwin : IBoardModel
{
    /// <summary>Boards of parts that differ as real ones do, beside the nominal one.</summary>
    private const int Specimens = 5;

    private readonly ConcurrentDictionary<string, ImmutableArray<Forecast>> _forecasts = [];
    private readonly ConcurrentDictionary<string, ImmutableArray<Forecast>> _close = [];
    private readonly ConcurrentDictionary<string, BoardTwin> _parts = [];
    private readonly ConcurrentDictionary<Sight, ImmutableHashSet<string>> _concerned = [];
    private readonly Dictionary<Sight, int> _experiments = [];
    private readonly List<Sight> _sights = [];
    private readonly Lock _lock = new();
    private readonly ConcurrentDictionary<BoardFault, ImmutableArray<string>> _tried = [];

    /// <summary>Delays that a recording cannot tell from late ones where nothing is wrong, as they are then; none of an adapter of ours.</summary>
    private readonly IReadOnlyDictionary<Sight, Duration> _unresolved = ImmutableDictionary<Sight, Duration>.Empty;
    private readonly Lazy<ImmutableArray<BoardFault>> _faults;
    private readonly ConcurrentDictionary<(SettlingStep, string), BoardTwin?> _after = [];
    private readonly Board _board;
    private readonly Board _swept;
    private readonly ExerciseMode _mode;
    private readonly AdapterFigures _figures;
    private readonly ImmutableArray<AdapterPin> _pins;
    private readonly string? _pulled;

    /// <param name="figures">Of the adapter that the board is swept with.</param>
    /// <param name="pins">Of that adapter: where it reads voltages and checks leads.</param>
    /// <param name="swept">What of the board is swept; all of it when left out.</param>
    public BoardTwin(Board board, ExerciseMode mode, AdapterFigures figures, ImmutableArray<AdapterPin> pins, Board? swept = null)
        : this(board, mode, figures, pins, swept, pulled: null)
    {
    }

    /// <param name="pulled">A part that is not in its socket, and of which no fault is there either; null when all are.</param>
    private BoardTwin(Board board, ExerciseMode mode, AdapterFigures figures, ImmutableArray<AdapterPin> pins, Board? swept, string? pulled)
    {
        (_board, _swept, _mode, _figures, _pins, _pulled) = (board, swept ?? board, mode, figures, pins, pulled);
        _faults = new(() => [.. BoardFaults.Of(board).Distinct().Where(CanBe)]);
        _unresolved = figures.OnlyRecords && Sweep([], Variation.Nominal) is { } good ? Unresolved(good) : _unresolved;
        // First, so that experiments have the same numbers whatever is tried next.
        Predict([]);
    }

    /// <summary>What was tried of one is known to the other.</summary>
    private BoardTwin(BoardTwin twin, ImmutableArray<BoardFault> beside)
    {
        (_board, _swept, _mode, _figures, _pins, _pulled) = (twin._board, twin._swept, twin._mode, twin._figures, twin._pins, twin._pulled);
        (_forecasts, _close, _parts, _concerned, _after) = (twin._forecasts, twin._close, twin._parts, twin._concerned, twin._after);
        (_tried, _unresolved) = (twin._tried, twin._unresolved);
        (_experiments, _sights, _lock) = (twin._experiments, twin._sights, twin._lock);
        _faults = new(() => [.. twin.Faults.Concat(beside.Where(CanBe)).DistinctBy(fault => fault.Name)]);
    }

    public ImmutableArray<BoardFault> Faults => _faults.Value;

    /// <summary>The same board, with faults to be thought of beside the usual ones.</summary>
    public BoardTwin With(ImmutableArray<BoardFault> beside) => new(this, beside);

    /// <summary>A recording has no leads at the supplies, so none of them is at another point.</summary>
    private bool CanBe(BoardFault fault) => !(_figures.OnlyRecords && fault.Between.Any(point => _board.Supplies.Any(supply => supply.SensedAt?.Name == point))) && FaultPlan.Of(_board, fault.Written).Plan is not null;

    /// <summary>Of every sweep that was tried so far, by experiment.</summary>
    public ImmutableArray<Sight> Sights
    {
        get
        {
            lock (_lock)
                return [.. _sights];
        }
    }

    public Sight SightOf(int experiment)
    {
        lock (_lock)
            return _sights[experiment];
    }

    public int OutcomesOf(int experiment) => Sight.MostOutcomes;

    public Outcomes OutcomesOf(IEnumerable<Seen> seen) => Outcomes.Of(seen.Select(one => new Shown(ExperimentOf(one.Sight), one.Possible)));

    public double OddsOf(BoardFault fault) => fault.Odds;

    /// <summary>
    /// Noise, a part at the edge of its tolerance, and what the simulation leaves out: more of times and voltages than of whether something changed at all.
    /// </summary>
    public double MisjudgedAt(int experiment) => SightOf(experiment).Kind switch
    {
        SightKind.DelayOn or SightKind.DelayOff or SightKind.VoltageOn or SightKind.VoltageOff => 3e-3,
        SightKind.Lead or SightKind.Feedback or SightKind.Moved => 1e-3,
        _ => 1e-4,
    };

    /// <summary>Two modes of one item exclude each other, but for sections of their own.</summary>
    public bool CanCoincide(BoardFault one, BoardFault other) => one.Item != other.Item || (HasSection(one) && HasSection(other) && SectionOf(one) != SectionOf(other));

    public bool Concerns(BoardFault fault, int experiment) => fault.Channels.IsEmpty || fault.Channels.Any(ConcernedBy(SightOf(experiment)).Contains);

    public void Foresee(ImmutableArray<ImmutableArray<BoardFault>> explanations) => Parallel.ForEach(explanations, faults => Predict(faults));

    public void ForeseeClosely(ImmutableArray<ImmutableArray<BoardFault>> explanations) => Parallel.ForEach(explanations, faults => PredictClosely(faults));

    /// <summary>Of the exercises in which something surprises, and of what is beside them all; null where that is nearly everything.</summary>
    public IPartialForecasts<BoardFault>? Partly(ImmutableArray<int> surprising)
    {
        var channels = surprising.Select(experiment => SightOf(experiment).Channel).Where(name => name.Length > 0).ToHashSet();
        ImmutableArray<Channel> exercised = [.. _swept.Channels.Where(channel => channels.Contains(channel.Name))];
        if (exercised.IsEmpty || 2 * exercised.Length > _swept.Channels.Length)
            return null;
        var key = string.Join(' ', exercised.Select(channel => channel.Name));
        var part = _parts.GetOrAdd(key, _ => new BoardTwin(_board, _mode, _figures, _pins, _swept with { Channels = exercised }, _pulled));
        return new Part(this, part, channels);
    }

    public ImmutableArray<Forecast> Predict(ImmutableArray<BoardFault> faults) => _forecasts.GetOrAdd(NameOf(faults), _ => [Try(faults, Variation.Nominal)]);

    public ImmutableArray<Forecast> PredictClosely(ImmutableArray<BoardFault> faults) =>
        _close.GetOrAdd(NameOf(faults), _ => [.. Predict(faults), .. Enumerable.Range(1, Specimens).Select(seed => Try(faults, new(seed))), .. faults is [var only] ? Lesser(only) : []]);

    /// <summary>
    /// What a fault may also do, since how far it goes is not known: what is slow may be late one way only, as a relay that pulls in late and lets go in time; and what is behind an undefined voltage may
    /// take it for the level that was meant.
    /// </summary>
    private IEnumerable<Forecast> Lesser(BoardFault fault)
    {
        var (good, broken) = (Predict([])[0], Predict([fault])[0]);
        if (fault.Written.Any(written => written.EndsWith("=slow", StringComparison.Ordinal)))
        {
            yield return Mixed(sight => sight.Kind == SightKind.DelayOff);
            yield return Mixed(sight => sight.Kind == SightKind.DelayOn);
        }
        if (fault.Written.Any(written => written.EndsWith("=weak", StringComparison.Ordinal)))
        {
            var weak = Enumerable.Range(0, broken.Possible.Length).Where(experiment => broken.At(experiment) != good.At(experiment)).Select(SightOf)
                .Where(sight => sight.Kind is SightKind.VoltageOn or SightKind.VoltageOff).Select(sight => sight.Point).ToHashSet();
            yield return Mixed(sight => !weak.Contains(sight.Point));
        }

        Forecast Mixed(Func<Sight, bool> isGood) =>
            new([.. Enumerable.Range(0, broken.Possible.Length).Select(experiment => isGood(SightOf(experiment)) ? good.At(experiment) : broken.At(experiment))]);
    }

    public IBoardModel? After(SettlingStep taken, ImmutableArray<string> channels)
    {
        return _after.GetOrAdd((taken, string.Join(' ', channels)), _ => taken.Kind switch
        {
            SettlingKind.Lead => LeadTo(taken.At),
            SettlingKind.Pull => new(_board, _mode, _figures, _pins, Swept(_swept), taken.At),
            _ => InjectedAt(taken.At),
        });

        Board Swept(Board board) => board with { Channels = [.. board.Channels.Where(channel => channels.Contains(channel.Name))] };

        BoardTwin? LeadTo(string net)
        {
            var point = (_board.TestPoints.FirstOrDefault(known => known.Name == net) ?? new TestPoint(net, null, null, null)) with { AdapterPin = FreePin(), Through = null };
            return new(_board.WithTestPoint(point), _mode, _figures, _pins, Swept(_swept.WithTestPoint(point)));
        }

        BoardTwin? InjectedAt(string net)
        {
            if (_board.Parts.OfType<PullTransistor>().Any() || Injection.At(_board, net).Injection is not { } injection)
                return null;
            var injected = InjectedBoard.Of(_board, injection, FreePin(), _mode);
            return new(injected.Bench, _mode, _figures, _pins, injected.Driven);
        }

        // Names decide what a pin of the simulated adapter can do: one like this sees levels only, as any pin does.
        string FreePin()
        {
            var used = AdapterPins.Of(_board);
            return Enumerable.Range(0, used.Count + 1).Select(number => string.Create(CultureInfo.InvariantCulture, $"D{number}")).First(pin => !used.Contains(pin));
        }
    }

    private static string NameOf(ImmutableArray<BoardFault> faults) => string.Join(' ', faults.Select(fault => fault.Name).Order(StringComparer.Ordinal));

    private static bool HasSection(BoardFault fault) => fault.Name.Contains(':', StringComparison.Ordinal);

    private static string SectionOf(BoardFault fault) => fault.Name[..fault.Name.IndexOf('=', StringComparison.Ordinal)];

    /// <summary>All channels for what is beside the exercises; else the one that is exercised, and those whose point it is.</summary>
    private ImmutableHashSet<string> ConcernedBy(Sight sight) => _concerned.GetOrAdd(sight, _ =>
    {
        ImmutableArray<Channel> channels = [.. _board.Channels.Where(channel => channel.Name == sight.Channel || channel.Owns(sight.Point) || channel.Line.Name == sight.Point)];
        return [.. (channels.IsEmpty ? _board.Channels : channels).Select(channel => channel.Name)];
    });

    private int ExperimentOf(Sight sight)
    {
        lock (_lock)
        {
            if (!_experiments.TryGetValue(sight, out var experiment))
            {
                _experiments[sight] = experiment = _sights.Count;
                _sights.Add(sight);
            }
            return experiment;
        }
    }

    private Forecast Try(ImmutableArray<BoardFault> faults, Variation variation) => Try(faults.Where(fault => fault.Item != _pulled).SelectMany(fault => TriedAs(fault)), variation);

    private Forecast Try(IEnumerable<string> written, Variation variation) =>
        Sweep(written, variation) is { } result ? ForecastOf(AsForecast(result)) : new([]);

    /// <summary>
    /// How a fault is tried: as it is written; but in a recording what is slow has to be so slow that the recording shows it. Otherwise a delay that is seen to be too long would be explained by nothing.
    /// </summary>
    private ImmutableArray<string> TriedAs(BoardFault fault)
    {
        const string Slow = "=slow";
        if (!_figures.OnlyRecords || !fault.Written.Any(written => written.EndsWith(Slow, StringComparison.Ordinal)))
            return fault.Written;
        return _tried.GetOrAdd(fault, _ =>
        {
            var good = Predict([])[0];
            foreach (var factor in (string[])["", ":10x", ":100x", ":1000x"])
            {
                ImmutableArray<string> tried = [.. fault.Written.Select(written => written.EndsWith(Slow, StringComparison.Ordinal) ? written + factor : written)];
                var broken = Try(tried, Variation.Nominal);
                if (Enumerable.Range(0, good.Possible.Length).Any(experiment => (broken.At(experiment) & good.At(experiment)) == 0))
                    return tried;
            }
            return fault.Written;
        });
    }

    /// <summary>
    /// A delay of which a sweep cannot tell whether it is too long is in time, as long as it is that of a good board: then a sweep that can tell, and finds it too long, has found something.
    /// </summary>
    private IEnumerable<(Sight Sight, uint Outcomes)> AsForecast(SweepResult result)
    {
        const uint InTime = 1u << ChannelSights.DelayInTime;
        var delays = DelaysOf(result);
        bool IsAsGood(Sight sight) => _unresolved.TryGetValue(sight, out var good) && delays.TryGetValue(sight, out var delay) && delay <= good + result.Adapter.Resolution && good <= delay + result.Adapter.Resolution;
        return SightSets.Of(result.Seen).Select(set => (set.Key, set.Value != Forecast.Anything && (set.Value & InTime) != 0 && IsAsGood(set.Key) ? InTime : set.Value));
    }

    private static ImmutableDictionary<Sight, Duration> Unresolved(SweepResult good)
    {
        var (delays, sets) = (DelaysOf(good), SightSets.Of(good.Seen));
        return delays.Where(delay => sets.TryGetValue(delay.Key, out var outcomes) && outcomes != Forecast.Anything && !BitOperations.IsPow2(outcomes)).ToImmutableDictionary();
    }

    private static Dictionary<Sight, Duration> DelaysOf(SweepResult result)
    {
        var delays = new Dictionary<Sight, Duration>();
        foreach (var (sight, delay) in result.Channels.SelectMany(ChannelSights.DelaysOf))
            delays[sight] = delay;
        return delays;
    }

    /// <returns>Null where those faults exclude each other: then nothing is predicted.</returns>
    private SweepResult? Sweep(IEnumerable<string> written, Variation variation)
    {
        if (FaultPlan.Of(_board, written.Concat(_pulled is null ? [] : [$"{_pulled}=removed"])).Plan is not { } plan)
            return null;
        var adapter = new SimulatedAdapter(_board, plan, variation, motorSupplyOn: _mode == ExerciseMode.Motion, _figures, _pins);
        var options = new SweepOptions(_mode, MotorOffConfirmed: true, NoStopInputAcknowledged: true);
        var sweep = new Sweep(_swept, adapter, options, TimeProvider.System, Serilog.Core.Logger.None);
        var sweeping = _figures.OnlyRecords ? sweep.MeasureUncheckedAsync(Unwatched.Sweep, CancellationToken.None) : sweep.MeasureAsync(Unwatched.Sweep, CancellationToken.None);
        // The simulated adapter answers at once.
        return sweeping.GetAwaiter().GetResult();
    }

    private Forecast ForecastOf(IEnumerable<(Sight Sight, uint Outcomes)> sets)
    {
        var possible = new List<uint>();
        foreach (var (sight, outcomes) in sets)
        {
            var experiment = ExperimentOf(sight);
            while (possible.Count <= experiment)
                possible.Add(0);
            possible[experiment] = outcomes;
        }
        return new([.. possible]);
    }

    /// <summary>A twin of which some channels are swept, with the numbers that experiments have here.</summary>
    private sealed class Part(BoardTwin whole, BoardTwin part, IReadOnlySet<string> channels) : IPartialForecasts<BoardFault>
    {
        /// <summary>What looks at idle points beside the exercises looks at those of the swept channels only.</summary>
        public bool Covers(int experiment) => channels.Contains(whole.SightOf(experiment).Channel);

        public void Foresee(ImmutableArray<BoardFault> faults) => part.Foresee([.. faults.Select(fault => ImmutableArray.Create(fault))]);

        public ImmutableArray<Forecast> Predict(BoardFault fault) =>
            [.. part.Predict([fault]).Select(forecast => whole.ForecastOf(forecast.Possible.Select((outcomes, own) => (part.SightOf(own), outcomes))))];
    }
}
