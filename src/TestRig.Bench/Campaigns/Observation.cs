using System.Collections.Immutable;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>
/// All that sweeps of one bench tell, as far as it can be told, guard bands and chance included. Parts of one type differ: what sweeps of several specimens of the bench tell is one observation. Whoever sees nothing but
/// sweeps cannot tell two benches apart of which some specimens have an outcome in common at every sight.
/// </summary>
internal sealed class Observation
{
    /// <summary>The first is of the specimen that was seen first.</summary>
    private readonly ImmutableArray<IReadOnlyDictionary<Sight, uint>> _specimens;

    private Observation(ImmutableArray<IReadOnlyDictionary<Sight, uint>> specimens) => _specimens = specimens;

    /// <param name="seen">Of one sweep of one specimen, in any order.</param>
    public static Observation Of(IReadOnlyCollection<Seen> seen) => new([SightSets.Of(seen)]);

    /// <summary>One sweep that is over: what would be chance the next time has come out as it did. Uncertain is only what the adapter could not tell.</summary>
    public static Observation AsItCameOut(IReadOnlyCollection<Seen> seen)
    {
        var sets = SightSets.Of(seen).ToDictionary();
        foreach (var one in seen)
            sets[one.Sight] = one.Possible;
        return new([sets]);
    }

    /// <summary>The same bench with other specimens of its parts. One that shows what another has shown adds nothing.</summary>
    public Observation Or(Observation others) => new([.. _specimens, .. others._specimens.Where(other => !_specimens.Any(one => AreEqual(one, other)))]);

    /// <summary>False when any sight tells any specimen of the one from any of the other, or one has a sight that the other lacks.</summary>
    public bool IsLike(Observation other) => _specimens.Any(one => other._specimens.Any(another => AreAlike(one, another)));

    /// <summary>The same of the specimens that were seen first, the nominal ones.</summary>
    public bool IsNominallyLike(Observation other) => AreAlike(_specimens[0], other._specimens[0]);

    private static bool AreAlike(IReadOnlyDictionary<Sight, uint> one, IReadOnlyDictionary<Sight, uint> other) => Agree(one, other, static (outcomes, others) => (outcomes & others) != 0);

    private static bool AreEqual(IReadOnlyDictionary<Sight, uint> one, IReadOnlyDictionary<Sight, uint> other) => Agree(one, other, static (outcomes, others) => outcomes == others);

    private static bool Agree(IReadOnlyDictionary<Sight, uint> one, IReadOnlyDictionary<Sight, uint> other, Func<uint, uint, bool> agree)
    {
        if (one.Count != other.Count)
            return false;
        foreach (var (sight, outcomes) in one)
        {
            if (!other.TryGetValue(sight, out var others) || !agree(outcomes, others))
                return false;
        }
        return true;
    }
}
