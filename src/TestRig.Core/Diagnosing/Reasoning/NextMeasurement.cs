using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>What an experiment that was not made yet may show, and how much that would tell.</summary>
/// <param name="Probabilities">Of each outcome, by what is believed now.</param>
/// <param name="Information">Expected reduction of entropy over the explanations, in bits: 0 when it would tell nothing.</param>
public sealed record NextMeasurement(int Experiment, ImmutableArray<double> Probabilities, double Information)
{
    /// <summary>By what every explanation in <paramref name="result"/> expects there, in the ways of its forecasts that agree best with what was seen.</summary>
    public static NextMeasurement Of<TFault>(IFaultModel<TFault> model, SearchResult<TFault> result, Outcomes seen, int experiment)
        where TFault : notnull
    {
        var outcomes = model.OutcomesOf(experiment);
        var total = new double[outcomes];
        var leftOpen = 0.0;
        foreach (var (explanation, belief) in result.Ranked)
        {
            var possible = PossibleAt(model.Predict(explanation.Faults), seen, [experiment]).Single();
            var count = Enumerable.Range(0, outcomes).Count(outcome => (possible >> outcome & 1) != 0);
            if (count == 0)
                continue;
            for (var outcome = 0; outcome < outcomes; outcome++)
            {
                if ((possible >> outcome & 1) != 0)
                    total[outcome] += belief / count;
            }
            leftOpen += belief * Math.Log2(count);
        }
        return new(experiment, [.. total], Math.Max(0, Entropy(total) - leftOpen));
    }

    /// <summary>Shannon's, in bits.</summary>
    private static double Entropy(double[] probabilities) =>
        -probabilities.Where(probability => probability > 0).Sum(probability => probability * Math.Log2(probability));

    /// <summary>What an explanation expects of experiments, in those ways of its forecasts that agree best with what was seen.</summary>
    public static IEnumerable<uint> PossibleAt(ImmutableArray<Forecast> forecasts, Outcomes seen, IEnumerable<int> experiments)
    {
        var misfits = forecasts.Select(forecast => seen.All.Count(shown => !shown.Fits(forecast))).ToList();
        var fewest = misfits.Min();
        var likely = forecasts.Where((_, way) => misfits[way] == fewest).ToList();
        return experiments.Select(experiment => likely.Aggregate(0u, (possible, forecast) => possible | forecast.At(experiment)));
    }
}
