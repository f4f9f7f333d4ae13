using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>
/// Looks for explanations by several faults where there are too many to weigh each. What two do together is estimated from what each does alone; only the most promising are predicted. Faults that
/// do the same stand for each other.
/// </summary>
internal sealed class SeveralFaults<TFault>(IFaultModel<TFault> model, SearchLimits limits, Reasoner<TFault> reasoner, Outcomes outcomes)
    where TFault : notnull
{
    /// <summary>What is less probable than the best by more than this factor's logarithm has no share of belief that anybody would see.</summary>
    private const double NotWorthCounting = 12;

    private readonly ImmutableArray<Forecast> _goodForecasts = model.Predict([]);
    private readonly ImmutableArray<Shown> _seen = outcomes.All;
    private readonly Bearing _good = Bearing.Of(model.Predict([]), model.Predict([]), outcomes.All);
    private readonly double[] _misfit = [.. outcomes.All.Select(shown => Math.Log(model.MisjudgedAt(shown.Experiment)))];

    /// <summary>Single faults that do the same.</summary>
    private sealed record Kind(int Number, ImmutableArray<Explanation<TFault>> Members, Bearing Bearing)
    {
        public Explanation<TFault> First => Members[0];
    }

    private sealed record Candidate(ImmutableArray<Kind> Kinds, Bearing Bearing, double LogLikelihood, bool IsEstimate)
    {
        private readonly double _logOdds = Kinds.Sum(kind => kind.First.LogOdds);

        public double LogWeight => LogLikelihood + _logOdds;

        /// <summary>The weight as it is to be expected: what is open comes out well every second time.</summary>
        public double Promise => LogWeight - (IsEstimate ? Bearing.Open * Math.Log(2) : 0);

        public ImmutableArray<TFault> Faults => [.. Kinds.Select(kind => kind.First.Faults[0])];
    }

    public IEnumerable<Explanation<TFault>> Find(ImmutableArray<Explanation<TFault>> singles)
    {
        ImmutableArray<Kind> kinds = [.. KindsOf(singles)];
        ImmutableArray<Candidate> open = [.. kinds.Select(kind => new Candidate([kind], kind.Bearing, kind.First.LogLikelihood, IsEstimate: false))];
        var best = open.MaxBy(candidate => candidate.LogWeight)!;
        var found = new List<Candidate>();
        for (var count = 2; count <= limits.MostFaults && best.Bearing.Misfits(_seen.Length) > 0; count++)
        {
            open = Known(Extended(open, kinds, best.LogWeight));
            // One more fault that explains no more is none.
            if (open.IsEmpty || open[0].LogWeight <= best.LogWeight)
                break;
            found.AddRange(open);
            best = open[0];
            open = [.. open.Take(limits.FirstFaults)];
        }
        if (best.Kinds.Length > 1)
            found.AddRange(InPlaceOfOne(best, kinds));
        return found
            .Where(candidate => candidate.LogWeight > best.LogWeight - NotWorthCounting)
            .DistinctBy(NumbersOf)
            .SelectMany(Members);
    }

    private IEnumerable<Kind> KindsOf(ImmutableArray<Explanation<TFault>> singles) => singles
        .GroupBy(single => model.Predict(single.Faults)[0].Possible, SameMasks.Instance)
        .Select(same => (ImmutableArray<Explanation<TFault>>)[.. same.OrderByDescending(single => single.LogOdds)])
        .Select((members, number) => new Kind(number, members, Bearing.Of(model.Predict(members[0].Faults), _goodForecasts, _seen)));

    private static string NumbersOf(Candidate candidate) => string.Join('+', candidate.Kinds.Select(kind => kind.Number).Order());

    /// <summary>With one kind more, the most promising, of those that are estimated to be better than what has one fault less.</summary>
    private IEnumerable<Candidate> Extended(ImmutableArray<Candidate> open, ImmutableArray<Kind> kinds, double floor)
    {
        var known = new HashSet<string>();
        var (certain, estimated) = (new PriorityQueue<Candidate, double>(), new PriorityQueue<Candidate, double>());
        foreach (var candidate in open)
        {
            foreach (var kind in kinds)
            {
                // Two in either order are the same.
                if ((candidate.Kinds.Length == 1 && kind.Number <= candidate.Kinds[0].Number) || !CanJoin(candidate.Kinds, kind))
                    continue;
                var together = With(candidate, kind);
                var among = together.IsEstimate ? estimated : certain;
                if (together.LogWeight <= floor || (among.Count == limits.PairsWeighed && among.TryPeek(out _, out var least) && together.Promise <= least))
                    continue;
                if (candidate.Kinds.Length > 1 && !known.Add(NumbersOf(together)))
                    continue;
                among.Enqueue(together, together.Promise);
                if (among.Count > limits.PairsWeighed)
                    among.Dequeue();
            }
        }
        return certain.UnorderedItems.Concat(estimated.UnorderedItems).Select(item => item.Element);
    }

    private bool CanJoin(ImmutableArray<Kind> kinds, Kind another) =>
        kinds.All(kind => kind != another && model.CanCoincide(kind.First.Faults[0], another.First.Faults[0]));

    private Candidate With(Candidate candidate, Kind kind)
    {
        var bearing = candidate.Bearing.With(kind.Bearing, _good);
        return new([.. candidate.Kinds, kind], bearing, bearing.OfMisfits(_misfit), candidate.IsEstimate || candidate.Bearing.Overlaps(kind.Bearing) || bearing.Misfits(_seen.Length) > 0);
    }

    /// <summary>
    /// Estimates replaced by predictions, and the best of all looked at closely; the best first. While nothing predicts all that was seen, each is predicted: two may do together what neither does alone. Then those
    /// that are estimated to be far worse are left out.
    /// </summary>
    private ImmutableArray<Candidate> Known(IEnumerable<Candidate> candidates)
    {
        var all = candidates.ToLookup(candidate => candidate.IsEstimate);
        var known = all[false].ToList();
        foreach (var chunk in all[true].OrderByDescending(candidate => candidate.Promise).Chunk(limits.FirstFaults))
        {
            var enough = known.Where(candidate => candidate.Bearing.Misfits(_seen.Length) == 0).Select(candidate => candidate.LogWeight + _misfit.Max()).Append(double.NegativeInfinity).Max();
            ImmutableArray<Candidate> next = [.. chunk.Where(candidate => candidate.LogWeight > enough)];
            model.Foresee([.. next.Select(candidate => candidate.Faults)]);
            known.AddRange(next.Select(Predicted));
        }
        return [.. Closely(known).OrderByDescending(candidate => candidate.LogWeight)];
    }

    private IEnumerable<Candidate> Closely(IEnumerable<Candidate> known)
    {
        var ranked = known.OrderByDescending(candidate => candidate.LogWeight).ToList();
        var contenders = ranked.Where(candidate => candidate.Bearing.Misfits(_seen.Length) > 0).Take(limits.FirstFaults).ToHashSet();
        model.ForeseeClosely([.. contenders.Select(candidate => candidate.Faults)]);
        return ranked.Select(candidate => contenders.Contains(candidate) ? LookedAtClosely(candidate) : candidate);
    }

    /// <summary>Where both make a difference at the same experiment, only a prediction tells what they do together.</summary>
    private Candidate Predicted(Candidate candidate)
    {
        var bearing = Bearing.Of(model.Predict(candidate.Faults), _goodForecasts, _seen);
        return candidate with { Bearing = bearing, LogLikelihood = bearing.OfMisfits(_misfit), IsEstimate = false };
    }

    private Candidate LookedAtClosely(Candidate candidate)
    {
        var forecasts = model.PredictClosely(candidate.Faults);
        var likelihood = reasoner.Weigh(forecasts, candidate.Faults, outcomes).LogLikelihood;
        return likelihood <= candidate.LogLikelihood ? candidate : candidate with { Bearing = Bearing.Of(forecasts, _goodForecasts, _seen), LogLikelihood = likelihood };
    }

    /// <summary>Explanations in which one fault of the best is exchanged for another, however improbable that is, and which explain as much: nothing that was seen tells them apart.</summary>
    private IEnumerable<Candidate> InPlaceOfOne(Candidate best, ImmutableArray<Kind> kinds)
    {
        foreach (var replaced in best.Kinds)
        {
            var others = best.Kinds.Remove(replaced);
            var rest = others.Skip(1).Aggregate(new Candidate([others[0]], others[0].Bearing, others[0].First.LogLikelihood, IsEstimate: false), With);
            var alike = kinds
                .Where(kind => kind != replaced && CanJoin(others, kind))
                .Select(kind => With(rest, kind))
                .Where(candidate => candidate.LogLikelihood > best.LogLikelihood + (_misfit.Max() / 2))
                .OrderByDescending(candidate => candidate.Promise)
                .Take(2 * limits.PairsWeighed)
                .ToLookup(candidate => candidate.IsEstimate);
            model.Foresee([.. alike[true].Select(candidate => candidate.Faults)]);
            foreach (var candidate in Closely(alike[false].Concat(alike[true].Select(Predicted))))
                yield return candidate;
        }
    }

    /// <summary>One explanation for each way to take a fault of each kind: they do the same, and differ in their odds.</summary>
    private IEnumerable<Explanation<TFault>> Members(Candidate candidate)
    {
        var misfits = candidate.Bearing.Misfits(_seen.Length);
        IEnumerable<ImmutableArray<Explanation<TFault>>> choices = [[]];
        foreach (var kind in candidate.Kinds)
            choices = choices.SelectMany(_ => kind.Members, (chosen, member) => chosen.Add(member));
        foreach (var chosen in choices.Take(limits.PairsThroughout))
            yield return new([.. chosen.SelectMany(single => single.Faults)], candidate.LogLikelihood, misfits, chosen.Sum(single => single.LogOdds));
    }

    private sealed class SameMasks : IEqualityComparer<ImmutableArray<uint>>
    {
        public static SameMasks Instance { get; } = new();

        public bool Equals(ImmutableArray<uint> one, ImmutableArray<uint> other) => one.AsSpan().SequenceEqual(other.AsSpan());

        public int GetHashCode(ImmutableArray<uint> masks)
        {
            var hash = new HashCode();
            foreach (var mask in masks)
                hash.Add(mask);
            return hash.ToHashCode();
        }
    }
}
