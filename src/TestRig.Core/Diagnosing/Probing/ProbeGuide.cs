using System.Collections.Immutable;
using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Core.Diagnosing.Probing;

/// <summary>
/// Says where a roving lead should touch next: where what is seen is expected to tell most. On a chain of which one stage is dead, all alike before, that is the middle of what is left.
/// </summary>
/// <param name="goodBefore">Probability, before anything was seen, that nothing is wrong: at least 0, below 1.</param>
public sealed class ProbeGuide<TFault>(IFaultModel<TFault> model, double goodBefore)
    where TFault : notnull
{
    /// <summary>Of a technician who probes a channel because it is said not to work (common practice).</summary>
    public const double UsuallyGood = 0.1;

    /// <summary>A touch that is expected to tell less, in bits, is not worth a movement of the hand.</summary>
    public const double NotWorthTouching = 0.02;

    /// <summary>Places that tell as much as the best, but for so many bits, tell alike: the first of them is touched.</summary>
    private const double Alike = 1e-3;

    private readonly Reasoner<TFault> _reasoner = new(model, SearchLimits.OfOneChannel);
    private readonly double _oddsOfGood = goodBefore / (1 - goodBefore) * model.Faults.Sum(model.OddsOf);

    /// <summary>What explains all that was seen so far, most probable first.</summary>
    public SearchResult<TFault> Believe(Outcomes seen)
    {
        var found = _reasoner.Explain(seen);
        // Where nothing was surprising yet, the reasoner may have left single faults out; a guide needs every one of them.
        ImmutableArray<Explanation<TFault>> all = found.Ranked.Any(entry => entry.Explanation.Faults.Length == 1)
            ? [.. found.Ranked.Select(entry => entry.Explanation)]
            : [.. found.Ranked.Select(entry => entry.Explanation), .. model.Faults.Select(fault => _reasoner.Weigh([fault], seen))];
        var weighed = all.Select(explanation => (Explanation: explanation, LogWeight: explanation.Faults.IsEmpty ? Math.Log(_oddsOfGood) + explanation.LogLikelihood : explanation.LogWeight)).ToList();
        var highest = weighed.Max(entry => entry.LogWeight);
        var sum = weighed.Sum(entry => Math.Exp(entry.LogWeight - highest));
        return found with { Ranked = [.. weighed.Select(entry => (entry.Explanation, Belief: Math.Exp(entry.LogWeight - highest) / sum)).OrderByDescending(entry => entry.Belief)] };
    }

    /// <param name="open">Places that can still be touched, in the order of the path.</param>
    /// <returns>The place and what it is expected to tell, in bits; null when no touch tells enough.</returns>
    public (ProbePlace Place, double Information)? Next(SearchResult<TFault> believed, Outcomes seen, IEnumerable<ProbePlace> open)
    {
        var told = open.Select(place => (Place: place, Information: JointMeasurement.Information(model, believed, seen, place.Experiments))).ToList();
        if (told.Count == 0)
            return null;
        var most = told.Max(entry => entry.Information);
        return most < NotWorthTouching ? null : told.Find(entry => entry.Information >= most - Alike);
    }
}
