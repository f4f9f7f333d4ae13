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

    private sealed record Kind(ImmutableArray<Explanation<TFault>> Members, Bearing Bearing)
    {
        public Explanation<TFault> First => Members[0];
    }

    private sealed record Candidate(ImmutableArray<Kind> Kinds, Bearing Bearing, double LogWeight, bool IsEstimate);

    public IEnumerable<Explanation<TFault>> Find(ImmutableArray<Explanation<TFault>> singles)
    {
        var good = Bearing.Of(_goodForecasts, _goodForecasts, _seen);
        ImmutableArray<Kind> kinds = [.. KindsOf(singles)];
        var open = kinds.OrderByDescending(kind => kind.First.LogWeight).Take(limits.FirstFaults)
            .Select(kind => new Candidate([kind], kind.Bearing, kind.First.LogWeight, IsEstimate: false))
            .ToList();
        var best = open.Max(candidate => candidate.LogWeight);
        for (var count = 2; count <= limits.MostFaults; count++)
        {
            open = Extended(open, kinds, good, best);
            if (open.Count == 0)
                yield break;
            foreach (var candidate in open.Where(candidate => candidate.LogWeight > best - NotWorthCounting))
            {
                foreach (var explanation in Members(candidate))
                    yield return explanation;
            }
            var now = open.Max(candidate => candidate.LogWeight);
            // One more fault that explains no more is none.
            if (now <= best || !open.Exists(candidate => candidate.Bearing.Misfits(_seen.Length) > 0 && candidate.LogWeight == now))
                yield break;
            best = now;
            open = [.. open.Take(limits.FirstFaults / 4)];
        }
    }

    private IEnumerable<Kind> KindsOf(ImmutableArray<Explanation<TFault>> singles) => singles
        .GroupBy(single => model.Predict(single.Faults)[0].Possible, SameMasks.Instance)
        .Select(same => (ImmutableArray<Explanation<TFault>>)[.. same.OrderByDescending(single => single.LogOdds)])
        .Select(members => new Kind(members, Bearing.Of(model.Predict(members[0].Faults), _goodForecasts, _seen)));

    /// <param name="floor">Of the best with fewer faults: what is not even estimated to be better is not looked at.</param>
    private List<Candidate> Extended(List<Candidate> open, ImmutableArray<Kind> kinds, Bearing good, double floor)
    {
        double[] misfit = [.. _seen.Select(shown => Math.Log(model.MisjudgedAt(shown.Experiment)))];
        var known = new HashSet<string>();
        var promising = new PriorityQueue<Candidate, double>();
        foreach (var candidate in open)
        {
            foreach (var kind in kinds)
            {
                if (candidate.Kinds.Any(other => other == kind || !model.CanCoincide(other.First.Faults[0], kind.First.Faults[0])))
                    continue;
                var together = candidate.Bearing.With(kind.Bearing, good);
                var weight = candidate.Kinds.Sum(other => other.First.LogOdds) + kind.First.LogOdds + together.OfMisfits(misfit);
                if (weight <= floor || (promising.Count == limits.PairsWeighed && promising.TryPeek(out _, out var least) && weight <= least))
                    continue;
                ImmutableArray<Kind> both = [.. candidate.Kinds, kind];
                if (!known.Add(string.Join('+', both.Select(part => kinds.IndexOf(part)).Order())))
                    continue;
                promising.Enqueue(new(both, together, weight, candidate.Bearing.Overlaps(kind.Bearing) || candidate.IsEstimate), weight);
                if (promising.Count > limits.PairsWeighed)
                    promising.Dequeue();
            }
        }
        var predicted = new List<Candidate>();
        var best = double.NegativeInfinity;
        foreach (var candidate in promising.UnorderedItems.Select(item => item.Element).OrderByDescending(candidate => candidate.LogWeight))
        {
            // An estimate is seldom too low: what is estimated to be far worse than the best that was predicted is not looked at.
            if (candidate.LogWeight < best + misfit.Max())
                break;
            var now = Predicted(candidate);
            predicted.Add(now);
            best = Math.Max(best, now.LogWeight);
        }
        return [.. predicted.OrderByDescending(candidate => candidate.LogWeight)];
    }

    /// <summary>Where both make a difference at the same experiment, only a prediction tells what they do together.</summary>
    private Candidate Predicted(Candidate candidate)
    {
        if (!candidate.IsEstimate)
            return candidate;
        ImmutableArray<TFault> faults = [.. candidate.Kinds.Select(kind => kind.First.Faults[0])];
        var forecasts = model.Predict(faults);
        return candidate with
        {
            Bearing = Bearing.Of(forecasts, _goodForecasts, _seen),
            LogWeight = reasoner.Weigh(faults, outcomes).LogWeight,
            IsEstimate = false,
        };
    }

    /// <summary>One explanation for each way to take a fault of each kind: they do the same, and differ in their odds.</summary>
    private IEnumerable<Explanation<TFault>> Members(Candidate candidate)
    {
        var misfits = candidate.Bearing.Misfits(_seen.Length);
        var likelihood = candidate.LogWeight - candidate.Kinds.Sum(kind => kind.First.LogOdds);
        IEnumerable<ImmutableArray<Explanation<TFault>>> choices = [[]];
        foreach (var kind in candidate.Kinds)
            choices = choices.SelectMany(_ => kind.Members, (chosen, member) => chosen.Add(member));
        foreach (var chosen in choices.Take(limits.PairsThroughout))
            yield return new([.. chosen.SelectMany(single => single.Faults)], likelihood, misfits, chosen.Sum(single => single.LogOdds));
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
