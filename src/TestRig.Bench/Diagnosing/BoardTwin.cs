using System.Collections.Concurrent;
using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Diagnosing.Reasoning;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Diagnosing;

/// <summary>
/// What faults do to a board, found by trying: the same sweep of a board made of nominal parts, without noise, with the fault put in. Each is tried once, when it is first asked for.
/// </summary>
/// <param name="swept">What of the board is swept; all of it when left out.</param>
internal sealed class BoardTwin(Board board, ExerciseMode mode, AdapterFigures figures, ImmutableArray<AdapterPin> pins, Board? swept = null) : IBoardModel
{
    /// <summary>Boards of parts that differ as real ones do, beside the nominal one.</summary>
    private const int Specimens = 3;

    private readonly ConcurrentDictionary<string, ImmutableArray<Forecast>> _forecasts = [];
    private readonly ConcurrentDictionary<string, ImmutableArray<Forecast>> _close = [];
    private readonly Dictionary<Sight, int> _experiments = [];
    private readonly List<Sight> _sights = [];
    private readonly Lock _lock = new();
    private readonly Board _swept = swept ?? board;

    public ImmutableArray<BoardFault> Faults { get; } = [.. BoardFaults.Of(board).Where(fault => FaultPlan.Of(board, fault.Written).Plan is not null)];

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

    public Outcomes OutcomesOf(IEnumerable<Seen> seen) => Outcomes.Of(seen.Where(one => one.Surely).Select(one => (ExperimentOf(one.Sight), one.Outcome)));

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

    public ImmutableArray<BoardFault> Concerned(ImmutableArray<int> surprising)
    {
        var channels = surprising.SelectMany(experiment => Concerned(SightOf(experiment))).ToHashSet();
        ImmutableArray<BoardFault> concerned = [.. Faults.Where(fault => fault.Channels.IsEmpty || fault.Channels.Any(channels.Contains))];
        Parallel.ForEach(concerned, fault => Predict([fault]));
        return concerned;
    }

    public ImmutableArray<Forecast> Predict(ImmutableArray<BoardFault> faults) => _forecasts.GetOrAdd(NameOf(faults), _ => [Try(faults, Variation.Nominal)]);

    public ImmutableArray<Forecast> PredictClosely(ImmutableArray<BoardFault> faults) =>
        _close.GetOrAdd(NameOf(faults), _ => [.. Predict(faults), .. Enumerable.Range(1, Specimens).Select(seed => Try(faults, new(seed)))]);

    private static string NameOf(ImmutableArray<BoardFault> faults) => string.Join(' ', faults.Select(fault => fault.Name).Order(StringComparer.Ordinal));

    private static bool HasSection(BoardFault fault) => fault.Name.Contains(':', StringComparison.Ordinal);

    private static string SectionOf(BoardFault fault) => fault.Name[..fault.Name.IndexOf('=', StringComparison.Ordinal)];

    /// <summary>All channels for what is beside the exercises; else the one that is exercised, and those whose point it is.</summary>
    private IEnumerable<string> Concerned(Sight sight)
    {
        var owners = board.Channels
            .Where(channel => channel.Name == sight.Channel || channel.DrivenAt.Name == sight.Point || channel.Line.Name == sight.Point || channel.Stages.Any(stage => stage.OutputName == sight.Point) || channel.Feedback.Any(feedback => feedback.Point.Name == sight.Point))
            .Select(channel => channel.Name)
            .ToList();
        return owners.Count == 0 ? board.Channels.Select(channel => channel.Name) : owners;
    }

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

    private Forecast Try(ImmutableArray<BoardFault> faults, Variation variation)
    {
        // What excludes each other predicts nothing.
        if (FaultPlan.Of(board, faults.SelectMany(fault => fault.Written)).Plan is not { } plan)
            return new([]);
        var adapter = new SimulatedAdapter(board, plan, variation, motorSupplyOn: mode == ExerciseMode.Motion, figures, pins);
        var options = new SweepOptions(mode, MotorOffConfirmed: true, NoStopInputAcknowledged: true);
        var sweeping = new Sweep(_swept, adapter, options, TimeProvider.System, Serilog.Core.Logger.None).MeasureAsync(new Silence(), CancellationToken.None);
        // The simulated adapter answers at once.
        var result = sweeping.GetAwaiter().GetResult();
        var possible = new List<uint>();
        foreach (var seen in result.Seen)
        {
            var experiment = ExperimentOf(seen.Sight);
            while (possible.Count <= experiment)
                possible.Add(0);
            possible[experiment] = PossibleAt(seen);
        }
        foreach (var seen in result.Seen)
            LeaveOpen(seen, possible);
        return new([.. possible]);
    }

    private static uint PossibleAt(Seen seen) => !seen.Surely ? Forecast.Anything
        : seen.Sight.Kind == SightKind.Trace && (TraceOutcomes.Restless >> seen.Outcome & 1) != 0 ? TraceOutcomes.Restless
        : 1u << seen.Outcome;

    /// <summary>
    /// What no simulation tells. A digital input takes a voltage in the undefined region for either level, and may change its mind; a pin that nothing drives floats to any level.
    /// </summary>
    private void LeaveOpen(Seen seen, List<uint> possible)
    {
        var (channel, point, kind) = seen.Sight;
        if (kind == SightKind.VoltageOn && seen.Outcome == ChannelSights.UndefinedVoltage)
            Widen(possible, new(channel, point, SightKind.Trace), TraceOutcomes.WithEitherDuring);
        if (kind == SightKind.VoltageOff && seen.Outcome == ChannelSights.UndefinedVoltage)
            Widen(possible, new(channel, point, SightKind.Trace), TraceOutcomes.WithEitherBeside);
        if (kind != SightKind.Lead || seen.Outcome != ChannelSights.FollowingLead)
            return;
        foreach (var exercised in _swept.Channels)
            Widen(possible, new(exercised.Name, point, SightKind.Trace), outcomes => TraceOutcomes.IsOneLevel(outcomes) ? TraceOutcomes.AnyOneLevel : outcomes);
        Widen(possible, Sight.Beside(point, SightKind.Idle), _ => Forecast.Anything);
    }

    private void Widen(List<uint> possible, Sight sight, Func<uint, uint> widened)
    {
        var experiment = ExperimentOf(sight);
        if (experiment < possible.Count && possible[experiment] != 0)
            possible[experiment] = widened(possible[experiment]);
    }

    private sealed class Silence : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value)
        {
        }
    }
}
