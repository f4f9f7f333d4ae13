using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>
/// Explains what experiments showed by the faults of a model, by Bayes' rule: single faults first; several at once where no single one explains all, or where there are so few that each pair can be
/// weighed. An explanation that leaves open what happens is as good as the best of what may happen.
/// </summary>
public sealed class Reasoner<TFault>(IFaultModel<TFault> model, SearchLimits limits)
    where TFault : notnull
{
    private readonly ImmutableArray<Forecast> _good = model.Predict([]);
    private readonly List<(double Predicted, double Otherwise)> _evidence = [];

    public SearchResult<TFault> Explain(Outcomes seen)
    {
        var good = Weigh(_good, [], seen);
        ImmutableArray<int> surprising = [.. seen.All.Where(shown => !_good.Any(shown.Fits)).Select(shown => shown.Experiment)];
        var concerned = new SingleFaults<TFault>(model, limits, this, seen, surprising);
        var singles = concerned.Count > limits.PairsThroughout && surprising.IsEmpty ? [] : concerned.First();
        var everyPair = concerned.Count * (concerned.Count - 1) / 2 <= limits.PairsThroughout;
        var several = !everyPair && IsWorthMore([good, .. singles], singles);
        if (everyPair || several)
            singles = singles.AddRange(concerned.Rest());
        List<Explanation<TFault>> found = [good, .. singles];
        if (everyPair)
            found.AddRange(Pairs(concerned.All).Select(pair => Weigh(model.Predict(pair), pair, seen)));
        else if (several)
            found.AddRange(new SeveralFaults<TFault>(model, limits, this, seen).Find(singles));
        return new(Believed(found), surprising);
    }

    /// <summary>One explanation against what was seen.</summary>
    public Explanation<TFault> Weigh(ImmutableArray<TFault> faults, Outcomes seen) => Weigh(model.PredictClosely(faults), faults, seen);

    internal Explanation<TFault> Weigh(ImmutableArray<Forecast> forecasts, ImmutableArray<TFault> faults, Outcomes seen)
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
    internal double Evidence(int experiment, bool predicted)
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
    private static bool IsWorthMore(ImmutableArray<Explanation<TFault>> found, ImmutableArray<Explanation<TFault>> singles)
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
