using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>
/// Explains what experiments showed by the faults of a model, by Bayes' rule: single faults first; several at once where no single one explains all, or where there are so few that each pair can be
/// weighed. An explanation that leaves open what happens is as good as the best of what may happen.
/// </summary>
public sealed class Reasoner<TFault>(IFaultModel<TFault> model, SearchLimits limits)
    where TFault : notnull
{
    /// <summary>Logarithm of a likelihood ratio (10^11) that no closer look makes up for.</summary>
    private const double FarBehind = 25;

    private readonly ImmutableArray<Forecast> _good = model.Predict([]);
    private readonly List<(double Predicted, double Otherwise)> _evidence = [];

    public SearchResult<TFault> Explain(Outcomes seen)
    {
        var good = Weigh(_good, [], seen);
        ImmutableArray<int> surprising = [.. seen.All.Where(shown => !_good.Any(shown.Fits)).Select(shown => shown.Experiment)];
        var faults = surprising.IsEmpty ? model.Faults : model.Concerned(surprising);
        ImmutableArray<Explanation<TFault>> singles = surprising.IsEmpty && faults.Length > limits.PairsThroughout ? [] : [.. Closely(Weighed(faults, surprising, seen), seen)];
        var found = new List<Explanation<TFault>> { good };
        found.AddRange(singles);
        if (faults.Length * (faults.Length - 1) / 2 <= limits.PairsThroughout)
            found.AddRange(Pairs(faults).Select(pair => Weigh(model.Predict(pair), pair, seen)));
        else if (IsWorthMore(found, singles))
            found.AddRange(new SeveralFaults<TFault>(model, limits, this, seen).Find(singles));
        return new(Believed(found), surprising);
    }

    /// <summary>One explanation against what was seen.</summary>
    public Explanation<TFault> Weigh(ImmutableArray<TFault> faults, Outcomes seen) => Weigh(model.PredictClosely(faults), faults, seen);

    /// <summary>
    /// All that can be among the best. What speaks against a fault in some experiments speaks against it in all: so those that fall behind in a part are not weighed further.
    /// </summary>
    private IEnumerable<Explanation<TFault>> Weighed(ImmutableArray<TFault> faults, ImmutableArray<int> surprising, Outcomes seen)
    {
        if (surprising.IsEmpty || model.Partly(surprising) is not { } partly)
            return faults.Select(fault => Weigh(model.Predict([fault]), [fault], seen));
        var covered = Outcomes.Of(seen.All.Where(shown => partly.Covers(shown.Experiment)));
        var first = faults.Select(fault => (Fault: fault, AtBest: Weigh(partly.Predict(fault), [fault], covered).LogLikelihood)).OrderByDescending(entry => entry.AtBest).ToList();
        var weighed = new List<Explanation<TFault>>();
        var best = double.NegativeInfinity;
        foreach (var (fault, atBest) in first.TakeWhile((entry, place) => place < limits.LookedAtClosely || entry.AtBest > best - FarBehind))
        {
            weighed.Add(Weigh(model.Predict([fault]), [fault], seen));
            best = Math.Max(best, weighed[^1].LogLikelihood);
        }
        return weighed;
    }

    /// <summary>The best are looked at more closely: what a nominal specimen shows need not be what this one does.</summary>
    private List<Explanation<TFault>> Closely(IEnumerable<Explanation<TFault>> weighed, Outcomes seen)
    {
        var ranked = weighed.OrderByDescending(explanation => explanation.LogLikelihood).ToList();
        for (var place = 0; place < Math.Min(ranked.Count, limits.LookedAtClosely); place++)
        {
            if (ranked[place].Misfits > 0 && ranked[place].LogLikelihood > ranked[0].LogLikelihood - FarBehind)
                ranked[place] = Weigh(ranked[place].Faults, seen);
        }
        return ranked;
    }

    private Explanation<TFault> Weigh(ImmutableArray<Forecast> forecasts, ImmutableArray<TFault> faults, Outcomes seen)
    {
        var odds = faults.Sum(fault => Math.Log(model.OddsOf(fault)));
        var best = new Explanation<TFault>(faults, double.NegativeInfinity, int.MaxValue, odds);
        foreach (var forecast in forecasts)
        {
            var (likelihood, misfits) = (0.0, 0);
            foreach (var shown in seen.All)
            {
                var fits = shown.Fits(forecast);
                likelihood += Evidence(shown.Experiment, fits);
                misfits += fits ? 0 : 1;
            }
            if (likelihood > best.LogLikelihood)
                best = best with { LogLikelihood = likelihood, Misfits = misfits };
        }
        return best;
    }

    /// <summary>Natural logarithm of the probability of an outcome that is predicted, or that is not.</summary>
    private double Evidence(int experiment, bool predicted)
    {
        while (_evidence.Count <= experiment)
        {
            var misjudged = model.MisjudgedAt(_evidence.Count);
            _evidence.Add((Math.Log(1 - misjudged), Math.Log(misjudged)));
        }
        return predicted ? _evidence[experiment].Predicted : _evidence[experiment].Otherwise;
    }

    /// <summary>
    /// A second fault can at best take away all misfits of the first; where that is worth less than the second fault is improbable, none is looked for.
    /// </summary>
    private static bool IsWorthMore(List<Explanation<TFault>> found, ImmutableArray<Explanation<TFault>> singles)
    {
        if (singles.IsEmpty)
            return false;
        var best = found.MaxBy(explanation => explanation.LogWeight)!;
        return best.LogLikelihood + singles.Max(single => single.LogOdds) < 0 && best.Misfits > 0;
    }

    private IEnumerable<ImmutableArray<TFault>> Pairs(ImmutableArray<TFault> faults)
    {
        for (var i = 0; i < faults.Length; i++)
        {
            for (var j = i + 1; j < faults.Length; j++)
            {
                if (model.CanCoincide(faults[i], faults[j]))
                    yield return [faults[i], faults[j]];
            }
        }
    }

    private static ImmutableArray<(Explanation<TFault> Explanation, double Belief)> Believed(List<Explanation<TFault>> found)
    {
        var highest = found.Max(explanation => explanation.LogWeight);
        var weights = found.Select(explanation => Math.Exp(explanation.LogWeight - highest)).ToList();
        var sum = weights.Sum();
        return [.. found.Zip(weights, (explanation, weight) => (explanation, weight / sum)).OrderByDescending(entry => entry.Item2)];
    }
}
