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
internal sealed class BoardTwin : IBoardModel
{
    /// <summary>Boards of parts that differ as real ones do, beside the nominal one.</summary>
    private const int Specimens = 5;

    private readonly ConcurrentDictionary<string, ImmutableArray<Forecast>> _forecasts = [];
    private readonly ConcurrentDictionary<string, ImmutableArray<Forecast>> _close = [];
    private readonly Dictionary<Sight, int> _experiments = [];
    private readonly List<Sight> _sights = [];
    private readonly Lock _lock = new();
    private readonly Board _board;
    private readonly ExerciseMode _mode;
    private readonly AdapterFigures _figures;
    private readonly ImmutableArray<AdapterPin> _pins;

    /// <param name="figures">Of the adapter that the board is swept with.</param>
    /// <param name="pins">Of that adapter: where it reads voltages and checks leads.</param>
    public BoardTwin(Board board, ExerciseMode mode, AdapterFigures figures, ImmutableArray<AdapterPin> pins)
    {
        (_board, _mode, _figures, _pins) = (board, mode, figures, pins);
        Faults = [.. BoardFaults.Of(board).Where(fault => FaultPlan.Of(board, fault.Written).Plan is not null)];
        // First, so that experiments have the same numbers whatever is tried next.
        Predict([]);
    }

    public ImmutableArray<BoardFault> Faults { get; }

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
        var owners = _board.Channels
            .Where(channel => channel.Name == sight.Channel || channel.DrivenAt.Name == sight.Point || channel.Line.Name == sight.Point || channel.Stages.Any(stage => stage.OutputName == sight.Point) || channel.Feedback.Any(feedback => feedback.Point.Name == sight.Point))
            .Select(channel => channel.Name)
            .ToList();
        return owners.Count == 0 ? _board.Channels.Select(channel => channel.Name) : owners;
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
        if (FaultPlan.Of(_board, faults.SelectMany(fault => fault.Written)).Plan is not { } plan)
            return new([]);
        var adapter = new SimulatedAdapter(_board, plan, variation, motorSupplyOn: _mode == ExerciseMode.Motion, _figures, _pins);
        var options = new SweepOptions(_mode, MotorOffConfirmed: true, NoStopInputAcknowledged: true);
        var swept = new Sweep(_board, adapter, options, TimeProvider.System, Serilog.Core.Logger.None).MeasureAsync(new Silence(), CancellationToken.None);
        // The simulated adapter answers at once.
        var result = swept.GetAwaiter().GetResult();
        var possible = new List<uint>();
        foreach (var (sight, outcomes) in SightSets.Of(result.Seen))
        {
            var experiment = ExperimentOf(sight);
            while (possible.Count <= experiment)
                possible.Add(0);
            possible[experiment] = outcomes;
        }
        return new([.. possible]);
    }

    private sealed class Silence : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value)
        {
        }
    }
}
