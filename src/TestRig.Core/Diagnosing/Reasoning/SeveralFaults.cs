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

    /// <summary>As many as noise makes.</summary>
    private const int FewMisfits = 2;

    private readonly ImmutableArray<Forecast> _goodForecasts = model.Predict([]);
    private readonly ImmutableArray<Shown> _seen = outcomes.All;
    private readonly Bearing _good = Bearing.Of(model.Predict([]), model.Predict([]), outcomes.All);
    private readonly double[] _misfit = [.. outcomes.All.Select(shown => Math.Log(model.MisjudgedAt(shown.Experiment)))];

    /// <summary>Single faults that do the same.</summary>
    private sealed record Kind(int Number, ImmutableArray<Explanation<TFault>> Members, Bearing Bearing)
    {
        public Explanation<TFault> First => Members[0];
    }

    /// <param name="Chosen">One of each kind, such that they can be there at the same time.</param>
    private sealed record Candidate(ImmutableArray<Kind> Kinds, ImmutableArray<Explanation<TFault>> Chosen, Bearing Bearing, double LogLikelihood, bool IsEstimate)
    {
        /// <summary>The weight that it has when it explains everything.</summary>
        public double LogOdds { get; } = Chosen.Sum(single => single.LogOdds);

        public double LogWeight => LogLikelihood + LogOdds;

        /// <summary>The weight as it is to be expected: what is open comes out well every second time.</summary>
        public double Promise => LogWeight - (IsEstimate ? Bearing.Open * Math.Log(2) : 0);

        public ImmutableArray<TFault> Faults => [.. Chosen.Select(single => single.Faults[0])];
    }

    public IEnumerable<Explanation<TFault>> Find(ImmutableArray<Explanation<TFault>> singles)
    {
        ImmutableArray<Kind> kinds = [.. KindsOf(singles)];
        ImmutableArray<Candidate> open = [.. kinds.Select(Alone)];
        var best = open.MaxBy(candidate => candidate.LogWeight)!;
        var found = new List<Candidate>();
        for (var count = 2; count <= limits.MostFaults && best.Bearing.Misfits(_seen.Length) > 0; count++)
        {
            // Where hardly anything is explained yet, an estimate may be far too low.
            open = Known(Extended(open, kinds, best.LogWeight), count == 2 && best.Bearing.Misfits(_seen.Length) > FewMisfits ? double.NegativeInfinity : best.LogWeight);
            if (count == 2)
                open = [.. open.Concat(BesideTheBest(best, kinds, open)).OrderByDescending(candidate => candidate.LogWeight)];
            // One more fault that explains no more is none.
            if (open.IsEmpty || open[0].LogWeight <= best.LogWeight)
                break;
            found.AddRange(open);
            best = open[0];
            open = [.. open.Take(limits.BestExtended)];
        }
        if (best.Kinds.Length > 1)
            found.AddRange(InPlaceOfOne(best, kinds));
        return Verified(found
            .Where(candidate => candidate.LogWeight > best.LogWeight - NotWorthCounting)
            .DistinctBy(NumbersOf)
            .SelectMany(Members));
    }

    /// <summary>
    /// What does the same alone need not do the same beside something else: of two drivers' faults that leave an output low, a lead that shows the output elsewhere tells one from the other. So those that are to be
    /// told are predicted themselves, and not by what stood for them.
    /// </summary>
    private IEnumerable<Explanation<TFault>> Verified(IEnumerable<Explanation<TFault>> explanations)
    {
        var ranked = explanations.OrderByDescending(explanation => explanation.LogWeight).ToList();
        var first = ranked.Take(limits.MostPredicted / 4).ToList();
        model.Foresee([.. first.Select(explanation => explanation.Faults)]);
        var otherwise = first.Where(explanation => reasoner.Weigh(model.Predict(explanation.Faults), explanation.Faults, outcomes).Misfits != explanation.Misfits).ToHashSet();
        model.ForeseeClosely([.. otherwise.Select(explanation => explanation.Faults)]);
        return ranked.Select(explanation => otherwise.Contains(explanation) ? reasoner.Weigh(explanation.Faults, outcomes) : explanation);
    }

    private IEnumerable<Kind> KindsOf(ImmutableArray<Explanation<TFault>> singles) => singles
        .GroupBy(single => model.Predict(single.Faults)[0].Possible, SameMasks.Instance)
        .Select(same => (ImmutableArray<Explanation<TFault>>)[.. same.OrderByDescending(single => single.LogOdds)])
        .Select((members, number) => new Kind(number, members, Bearing.Of(model.Predict(members[0].Faults), _goodForecasts, _seen)));

    private static string NumbersOf(Candidate candidate) => string.Join('+', candidate.Kinds.Select(kind => kind.Number).Order());

    private static Candidate Alone(Kind kind) => new([kind], [kind.First], kind.Bearing, kind.First.LogLikelihood, IsEstimate: false);

    /// <summary>With one kind more, the most promising of those that may be better than what has one fault less.</summary>
    private IEnumerable<Candidate> Extended(ImmutableArray<Candidate> open, ImmutableArray<Kind> kinds, double floor)
    {
        var known = new HashSet<string>();
        var (certain, estimated) = (new PriorityQueue<Candidate, double>(), new PriorityQueue<Candidate, double>());
        foreach (var candidate in open)
        {
            foreach (var kind in kinds)
            {
                // Two in either order are the same.
                if ((candidate.Kinds.Length == 1 && kind.Number <= candidate.Kinds[0].Number) || With(candidate, kind) is not { } together)
                    continue;
                var among = together.IsEstimate ? estimated : certain;
                if ((together.IsEstimate ? together.LogOdds : together.LogWeight) <= floor || (among.Count == limits.MostPredicted && among.TryPeek(out _, out var least) && together.Promise <= least))
                    continue;
                if (candidate.Kinds.Length > 1 && !known.Add(NumbersOf(together)))
                    continue;
                among.Enqueue(together, together.Promise);
                if (among.Count > limits.MostPredicted)
                    among.Dequeue();
            }
        }
        return certain.UnorderedItems.Concat(estimated.UnorderedItems).Select(item => item.Element);
    }

    /// <summary>
    /// The best single kind with every other, each predicted: where one fault decides what is looked at, such as a multiplexer's select input that is stuck, what another does shows elsewhere than it does alone, and
    /// no estimate tells.
    /// </summary>
    /// <param name="pairs">Those that are known: of the others, only what could be better is looked at.</param>
    private IEnumerable<Candidate> BesideTheBest(Candidate best, ImmutableArray<Kind> kinds, ImmutableArray<Candidate> pairs)
    {
        var known = pairs.Select(NumbersOf).ToHashSet();
        var floor = pairs.Select(candidate => candidate.LogWeight).Append(best.LogWeight).Max();
        ImmutableArray<Candidate> beside = [.. kinds.Select(kind => With(best, kind)).OfType<Candidate>().Where(candidate => candidate.LogOdds > floor && !known.Contains(NumbersOf(candidate)))];
        model.Foresee([.. beside.Select(candidate => candidate.Faults)]);
        return Closely(beside.Select(Predicted));
    }

    /// <summary>Null where no faults of these kinds can be there at the same time.</summary>
    private Candidate? With(Candidate candidate, Kind kind)
    {
        if (candidate.Kinds.Contains(kind))
            return null;
        ImmutableArray<Kind> kinds = [.. candidate.Kinds, kind];
        if (Choices(kinds).FirstOrDefault() is not { IsDefault: false } chosen)
            return null;
        var bearing = candidate.Bearing.With(kind.Bearing, _good);
        return new(kinds, chosen, bearing, bearing.OfMisfits(_misfit), candidate.IsEstimate || candidate.Bearing.Overlaps(kind.Bearing) || bearing.Misfits(_seen.Length) > 0);
    }

    /// <summary>Each way to take one fault of each kind, such that they can be there at the same time; the most probable of each kind first.</summary>
    private IEnumerable<ImmutableArray<Explanation<TFault>>> Choices(ImmutableArray<Kind> kinds)
    {
        IEnumerable<ImmutableArray<Explanation<TFault>>> choices = [[]];
        foreach (var kind in kinds)
        {
            choices = choices.SelectMany(
                chosen => kind.Members.Where(member => chosen.All(single => model.CanCoincide(single.Faults[0], member.Faults[0]))),
                (chosen, member) => chosen.Add(member));
        }
        return choices;
    }

    /// <summary>
    /// Estimates replaced by predictions, and the best of all looked at closely; the best first. While nothing predicts all that was seen, each is predicted: two may do together what neither does alone. Then those
    /// that are estimated to be far worse are left out.
    /// </summary>
    /// <param name="floor">Of those that are estimated to be no better than this, few are predicted.</param>
    private ImmutableArray<Candidate> Known(IEnumerable<Candidate> candidates, double floor)
    {
        var all = candidates.ToLookup(candidate => candidate.IsEstimate);
        var known = all[false].ToList();
        var promising = all[true].OrderByDescending(candidate => candidate.Promise)
            // Of the most promising, what they could be worth counts; of the others, what they are estimated to be.
            .Select((candidate, place) => (Candidate: candidate, IsFirst: place < limits.LookedAtClosely))
            .Where(entry => entry.IsFirst || entry.Candidate.LogWeight > floor);
        foreach (var chunk in promising.Chunk(limits.BestExtended))
        {
            var enough = known.Where(candidate => candidate.Bearing.Misfits(_seen.Length) == 0).Select(candidate => candidate.LogWeight + _misfit.Max()).Append(double.NegativeInfinity).Max();
            ImmutableArray<Candidate> next = [.. chunk.Where(entry => (entry.IsFirst ? entry.Candidate.LogOdds : entry.Candidate.LogWeight) > enough).Select(entry => entry.Candidate)];
            model.Foresee([.. next.Select(candidate => candidate.Faults)]);
            known.AddRange(next.Select(Predicted));
        }
        return [.. Closely(known).OrderByDescending(candidate => candidate.LogWeight)];
    }

    private IEnumerable<Candidate> Closely(IEnumerable<Candidate> known)
    {
        var ranked = known.OrderByDescending(candidate => candidate.LogWeight).ToList();
        var contenders = ranked.Where(candidate => candidate.Bearing.Misfits(_seen.Length) > 0).Take(limits.BestExtended).ToHashSet();
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
            var rest = others.Skip(1).Aggregate(Alone(others[0]), (candidate, kind) => With(candidate, kind)!);
            var alike = kinds
                .Where(kind => kind != replaced)
                .Select(kind => With(rest, kind))
                .OfType<Candidate>()
                .Where(candidate => candidate.LogLikelihood > best.LogLikelihood + (_misfit.Max() / 2))
                .OrderByDescending(candidate => candidate.Promise)
                .Take(limits.MostPredicted / 2)
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
        foreach (var chosen in Choices(candidate.Kinds).Take(limits.PairsThroughout))
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
