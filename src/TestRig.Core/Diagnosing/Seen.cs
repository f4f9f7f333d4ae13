using System.Numerics;

namespace TestRig.Core.Diagnosing;

/// <summary>What was seen of it.</summary>
/// <param name="Outcome">What it most probably is: from 0, below <see cref="Sight.MostOutcomes"/>.</param>
/// <param name="Possible">Every outcome that it may be, bit by bit: where a measurement's uncertainty reaches into a neighbour, more than one.</param>
public readonly record struct Seen(Sight Sight, int Outcome, uint Possible)
{
    public Seen(Sight sight, int outcome, bool surely = true)
        : this(sight, outcome, surely ? 1u << outcome : uint.MaxValue)
    {
    }

    /// <summary>False when it cannot be told from its neighbours.</summary>
    public bool Surely => BitOperations.IsPow2(Possible);

    /// <summary>Something between two outcomes of a scale, ends included: the outcomes of it count upwards.</summary>
    public static Seen Between(Sight sight, int outcome, int lowest, int highest)
    {
        var possible = 1u << outcome;
        for (var each = lowest; each <= highest; each++)
            possible |= 1u << each;
        return new(sight, outcome, possible);
    }
}
