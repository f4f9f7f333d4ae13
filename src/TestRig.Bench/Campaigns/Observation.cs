using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>
/// All that one sweep tells, as far as it can be told, guard bands and chance included: whoever sees nothing but sweeps cannot tell two benches apart whose observations have an outcome in common at every sight.
/// </summary>
internal sealed class Observation
{
    private readonly IReadOnlyDictionary<Sight, uint> _sets;

    private Observation(IReadOnlyDictionary<Sight, uint> sets) => _sets = sets;

    /// <param name="seen">Of one sweep, in any order.</param>
    public static Observation Of(IReadOnlyCollection<Seen> seen) => new(SightSets.Of(seen));

    /// <summary>False when any sight tells the two apart, or one has a sight that the other lacks.</summary>
    public bool IsLike(Observation other)
    {
        if (_sets.Count != other._sets.Count)
            return false;
        foreach (var (sight, outcomes) in _sets)
        {
            if (!other._sets.TryGetValue(sight, out var others) || (outcomes & others) == 0)
                return false;
        }
        return true;
    }
}
