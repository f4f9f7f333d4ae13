using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>Several experiments that are made together, as all that a lead shows where it touches, and how much they would tell.</summary>
public static class JointMeasurement
{
    /// <summary>
    /// Expected reduction of entropy over the explanations, in bits. Explanations that leave open what happens may look like more than one other: what is not told apart counts as alike (T. Leinster and
    /// C. A. Cobbold, Measuring diversity: the importance of species similarity, Ecology 93 (2012) 477-489, order 1). Where nothing is left open that is Shannon's entropy of the outcome.
    /// </summary>
    public static double Information<TFault>(IFaultModel<TFault> model, SearchResult<TFault> believed, Outcomes seen, ImmutableArray<int> experiments)
        where TFault : notnull
    {
        var looks = new Dictionary<string, (uint[] Possible, double Belief)>();
        foreach (var (explanation, belief) in believed.Ranked)
        {
            uint[] possible = [.. NextMeasurement.PossibleAt(model.Predict(explanation.Faults), seen, experiments)];
            var key = string.Join(' ', possible);
            looks[key] = (possible, belief + (looks.TryGetValue(key, out var same) ? same.Belief : 0));
        }
        var all = looks.Values.ToList();
        return all.Where(one => one.Belief > 0).Sum(one => -one.Belief * Math.Log2(Math.Min(1, all.Where(other => MayLookAlike(one.Possible, other.Possible)).Sum(other => other.Belief))));
    }

    private static bool MayLookAlike(uint[] one, uint[] other)
    {
        for (var i = 0; i < one.Length; i++)
        {
            if ((one[i] & other[i]) == 0 && one[i] != other[i])
                return false;
        }
        return true;
    }
}
