using System.Collections.Immutable;
using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>
/// Puts every fault of a board into the simulated bench, one bench for each, sweeps it as a user would, and holds what the sweep said beside the bound that the board itself sets: what a sweep of nominal
/// parts without noise cannot tell apart, nobody can.
/// </summary>
public sealed class Campaign
{
    private readonly TrialBench _bench;
    private readonly CampaignOptions _options;
    private readonly Func<int, BoardFault[], SweepResult> _sweep;
    private readonly IProgress<CampaignStep> _progress;
    private readonly int _threads;

    public Campaign(Board board, CampaignOptions options, IProgress<CampaignStep> progress)
        : this(board, options, progress, sweep: null)
    {
    }

    /// <param name="sweep">What is examined, by seed and faults; the sweep that users get when left out.</param>
    /// <param name="threads">At most so many trials at the same time; as many as there are processors when left out.</param>
    internal Campaign(Board board, CampaignOptions options, IProgress<CampaignStep> progress, Func<TrialBench, int, BoardFault[], SweepResult>? sweep, int? threads = null)
    {
        _bench = new(board, options.Mode, options.Figures);
        (_options, _progress) = (options, progress);
        _sweep = sweep is null ? _bench.Sweep : (seed, faults) => sweep(_bench, seed, faults);
        _threads = threads ?? Environment.ProcessorCount;
    }

    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    /// <exception cref="ProfileMismatchException">The profile does not fit the adapter.</exception>
    public CampaignResult Run(CancellationToken cancellation)
    {
        var faults = BoardFaults.Of(_bench.Board);
        ImmutableArray<BoardFault> possible = [.. faults.Where(fault => _bench.CanHave(fault))];
        var healthy = _bench.Observe();
        var looks = Each("faults on benches that nobody diagnoses", possible, (fault, _) => _bench.ObserveSpecimens(fault), cancellation);
        var classes = new StructuralClasses(healthy, possible.Zip(looks));
        var seeds = new Seeds(_options.Seed);
        var trials = Each("single faults", possible, (fault, index) => Try(fault, classes, seeds.OfFault(index)), cancellation);
        var alarms = Each("healthy boards", [.. Enumerable.Range(0, _options.Healthy)], (number, _) => Healthy(seeds.OfHealthy(number)), cancellation);
        var drawn = PairDraw.From(possible, _options.Pairs, _bench, new Random(_options.Seed));
        var pairs = Each("pairs of faults", drawn, (pair, index) => Try(pair.First, pair.Second, classes, seeds.OfPair(index)), cancellation);
        return new(
            _bench.Board, _options, [.. faults.Except(possible)], classes.All, trials,
            new(_options.Healthy, [.. alarms.OfType<FalseAlarm>()]), pairs, _options.Suggest ? Suggestions(classes, cancellation) : null);
    }

    private FaultTrial Try(BoardFault fault, StructuralClasses classes, int seed)
    {
        var result = _sweep(seed, [fault]);
        ImmutableArray<ImmutableArray<BoardFault>> reported = [.. result.Diagnosis.Faults.Select(found => found.Suspects[0].Faults)];
        return new(fault, seed, classes.Of(fault), Detection.IsAlarm(result), reported, reported is [var group] ? LeftOut(fault, classes.Of(fault), seed, group) : []);
    }

    /// <summary>
    /// Of the bound, what was not reported although it could have shown what the trial's sweep saw: put into the same bench it leaves nothing that tells them apart. What the diagnosis expects of it does not count, nor how probable it is.
    /// </summary>
    private ImmutableArray<BoardFault> LeftOut(BoardFault fault, FaultClass bound, int seed, ImmutableArray<BoardFault> group)
    {
        ImmutableArray<BoardFault> missing = [.. bound.Faults.Where(other => other != fault && !group.Contains(other))];
        if (!bound.Detectable || missing.IsEmpty)
            return [];
        var saw = _bench.SeenOf(seed, fault);
        return [.. missing.Where(other => saw.IsLike(_bench.ObserveBench(seed, other)))];
    }

    private FalseAlarm? Healthy(int seed) => Detection.FalseAlarm(_bench.Measure(new Variation(seed))) is { } words ? new(seed, words) : null;

    private PairTrial Try(BoardFault first, BoardFault second, StructuralClasses classes, int seed)
    {
        var together = _bench.ObserveSpecimens(first, second);
        var look = PairTrial.LookOf(together, classes, first, second);
        var visible = look is PairLook.Masked or PairLook.LikeAnother ? classes.LikeThis(together) : null;
        var result = _sweep(seed, [first, second]);
        ImmutableArray<ImmutableArray<ImmutableArray<BoardFault>>> reported = [.. result.Diagnosis.Faults.Select(found => found.Suspects.Take(2).Select(suspect => suspect.Faults).ToImmutableArray())];
        var found = look switch
        {
            PairLook.Healthy => false,
            PairLook.Distinct => PairTrial.BothFound(classes.Of(first), classes.Of(second), reported),
            _ => reported is [var only] && only[0].Any(visible!.Faults.Contains),
        };
        var named = result.Diagnosis.Faults.Select(fault => fault.Suspects[0].Faults[0]).ToArray();
        var alike = look == PairLook.Distinct && !found && named.Length > 0 && Odds(named) >= Odds(first, second)
            && _bench.CanHave(named) && _bench.ObserveSpecimens(named).IsLike(together);
        return new(first, second, seed, look, visible, Detection.IsAlarm(result), found, alike, reported);
    }

    private static double Odds(params BoardFault[] faults) => faults.Aggregate(1.0, (odds, fault) => odds * fault.Odds);

    /// <summary>Of those measurements that could be added, the ones that tell something, the best first.</summary>
    private ImmutableArray<Suggestion> Suggestions(StructuralClasses classes, CancellationToken cancellation)
    {
        var largest = classes.All.Where(each => each.Detectable && each.Items > 1).MaxBy(each => each.Faults.Length)?.Faults ?? [];
        var hidden = classes.All.FirstOrDefault(each => !each.Detectable)?.Faults ?? [];
        var tried = Each("measurements to add", [.. AddedSights.Of(_bench.Board)], (added, _) =>
        {
            var bench = new TrialBench(added.Board, _options.Mode, _options.Figures);
            var healthy = bench.Observe();
            var staying = new StructuralClasses(healthy, largest.Select(fault => (fault, bench.Observe(fault)))).All.Select(alike => alike.Faults.Length).DefaultIfEmpty(0).Max();
            return new Suggestion(added.Kind, added.Net, largest.Length - staying, hidden.Count(fault => !bench.Observe(fault).IsLike(healthy)));
        }, cancellation);
        return [.. tried.Where(one => one.ToldApart + one.Detected > 0).OrderByDescending(one => one.ToldApart).ThenByDescending(one => one.Detected).ThenBy(one => one.Kind)];
    }

    /// <summary>On all processors; where each comes out does not depend on which is done first.</summary>
    private ImmutableArray<TResult> Each<T, TResult>(string doing, ImmutableArray<T> items, Func<T, int, TResult> work, CancellationToken cancellation)
    {
        var results = new TResult[items.Length];
        var done = 0;
        Parallel.For(0, items.Length, new() { CancellationToken = cancellation, MaxDegreeOfParallelism = _threads }, index =>
        {
            results[index] = work(items[index], index);
            _progress.Report(new(doing, Interlocked.Increment(ref done), items.Length));
        });
        return [.. results];
    }
}
