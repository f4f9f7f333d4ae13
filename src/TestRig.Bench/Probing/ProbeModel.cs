using System.Collections.Concurrent;
using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Diagnosing.Probing;
using TestRig.Core.Diagnosing.Reasoning;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Probing;

/// <summary>
/// What faults do to all that a roving lead can show: a twin of the board for each place of the lead, and one without it. The first view is that without it: what is seen beside the lead is counted there,
/// and once.
/// </summary>
internal sealed class ProbeModel : IBoardModel
{
    private readonly ImmutableArray<View> _views;
    private readonly List<(int View, int Experiment)> _experiments = [];
    private readonly Dictionary<(int View, int Experiment), int> _indices = [];
    private readonly Lock _lock = new();
    private readonly ConcurrentDictionary<string, ImmutableArray<Forecast>> _forecasts = [];
    private readonly Channel _channel;

    private sealed record View(string Point, BoardTwin Twin);

    public ProbeModel(Board board, Channel channel, ExerciseMode mode, ImmutableArray<ProbePoint> points, AdapterFigures figures, ImmutableArray<AdapterPin> pins)
    {
        _channel = channel;
        _views = [.. points.Select(point => (ProbePoint?)point).Prepend(null).Select(point =>
        {
            var roving = RovingBoard.With(board, channel, mode, point);
            return new View(point?.Name ?? "", new(roving.Bench, mode, figures, pins, roving.Driven));
        })];
        var candidates = _views[0].Twin.Faults.Where(fault => fault.Channels.IsEmpty || fault.Channels.Contains(channel.Name)).Append(BoardFaults.RovingLead).ToImmutableArray();
        Parallel.ForEach(candidates, fault => Predict([fault]));
        var good = Predict([])[0];
        // What makes no difference anywhere cannot be found by probing, and would be believed for ever.
        ImmutableArray<int> told = [.. Enumerable.Range(0, _views.Length).SelectMany(view => ExperimentsOf(view))];
        Faults = [.. candidates.Where(fault => Predict([fault])[0] is var broken && told.Any(experiment => broken.At(experiment) != good.At(experiment)))];
        Places = [.. points.Select((point, index) => new ProbePlace(point.Name, ExperimentsOf(index + 1)))];
    }

    public ImmutableArray<BoardFault> Faults { get; }

    /// <summary>In the order of the path.</summary>
    public ImmutableArray<ProbePlace> Places { get; }

    public Sight SightOf(int experiment)
    {
        var (view, own) = OwnOf(experiment);
        return _views[view].Twin.SightOf(own);
    }

    /// <summary>Of what is seen without the roving lead.</summary>
    public Outcomes OutcomesOf(IEnumerable<Seen> seen) => OutcomesOf(null, seen);

    /// <param name="place">Where the roving lead is; null while it is nowhere.</param>
    public Outcomes OutcomesOf(ProbePlace? place, IEnumerable<Seen> seen)
    {
        var view = place is null ? 0 : Places.IndexOf(place) + 1;
        var outcomes = _views[view].Twin.OutcomesOf(seen);
        return Outcomes.Of(outcomes.All.Select(shown => shown with { Experiment = IndexOf(view, shown.Experiment) }).Where(shown => IsOf(view, SightOf(shown.Experiment))));
    }

    public int OutcomesOf(int experiment) => Sight.MostOutcomes;

    public double OddsOf(BoardFault fault) => fault.Odds;

    public double MisjudgedAt(int experiment)
    {
        var (view, own) = OwnOf(experiment);
        return _views[view].Twin.MisjudgedAt(own);
    }

    public bool CanCoincide(BoardFault one, BoardFault other) => _views[0].Twin.CanCoincide(one, other);

    public ImmutableArray<Forecast> Predict(ImmutableArray<BoardFault> faults) =>
        _forecasts.GetOrAdd(string.Join(' ', faults.Select(fault => fault.Name)), _ => Joined(faults, (twin, written) => twin.Predict(written)));

    public ImmutableArray<Forecast> PredictClosely(ImmutableArray<BoardFault> faults) => Joined(faults, (twin, written) => twin.PredictClosely(written));

    /// <summary>The experiment of a sight at a place; null where nothing ever looked at it.</summary>
    public int? ExperimentAt(ProbePlace place, SightKind kind) =>
        place.Experiments.Where(experiment => SightOf(experiment) is var sight && sight.Kind == kind && sight.Point == place.Name).Select(experiment => (int?)experiment).FirstOrDefault();

    private (int View, int Experiment) OwnOf(int experiment)
    {
        lock (_lock)
            return _experiments[experiment];
    }

    /// <summary>The experiments of all views in one row, as they become known.</summary>
    private int IndexOf(int view, int experiment)
    {
        lock (_lock)
        {
            if (!_indices.TryGetValue((view, experiment), out var index))
            {
                _indices[(view, experiment)] = index = _experiments.Count;
                _experiments.Add((view, experiment));
            }
            return index;
        }
    }

    private ImmutableArray<int> ExperimentsOf(int view) =>
        [.. Enumerable.Range(0, _views[view].Twin.Sights.Length).Select(experiment => IndexOf(view, experiment)).Where(experiment => IsOf(view, SightOf(experiment)))];

    private bool IsOf(int view, Sight sight) => view == 0
        || ((sight.Channel.Length == 0 || sight.Channel == _channel.Name) && (sight.Point == _views[view].Point || sight.Kind is SightKind.Ending or SightKind.Exercise));

    /// <summary>The same specimen of the board at every place.</summary>
    private ImmutableArray<Forecast> Joined(ImmutableArray<BoardFault> faults, Func<BoardTwin, ImmutableArray<BoardFault>, ImmutableArray<Forecast>> predict)
    {
        ImmutableArray<ImmutableArray<Forecast>> byView = [.. _views.Select(view => predict(view.Twin, At(view, faults)))];
        return
        [
            .. Enumerable.Range(0, byView.Max(forecasts => forecasts.Length)).Select(specimen =>
            {
                var possible = new List<uint>();
                for (var view = 0; view < _views.Length; view++)
                {
                    var own = byView[view][Math.Min(specimen, byView[view].Length - 1)].Possible;
                    for (var experiment = 0; experiment < own.Length; experiment++)
                    {
                        var index = IndexOf(view, experiment);
                        while (possible.Count <= index)
                            possible.Add(0);
                        possible[index] = own[experiment];
                    }
                }
                return new Forecast([.. possible]);
            }),
        ];
    }

    private static ImmutableArray<BoardFault> At(View view, ImmutableArray<BoardFault> faults) => !faults.Contains(BoardFaults.RovingLead) ? faults
        : view.Point.Length == 0 ? faults.Remove(BoardFaults.RovingLead)
        : faults.Replace(BoardFaults.RovingLead, BoardFaults.RovingLead with { Written = [$"lead:{view.Point}=open"] });
}
