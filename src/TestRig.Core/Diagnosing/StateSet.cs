using System.Numerics;
using TestRig.Core.Judging;

namespace TestRig.Core.Diagnosing;

/// <summary>A set of point states.</summary>
internal readonly record struct StateSet(uint Bits)
{
    public static StateSet Of(params ReadOnlySpan<PointState> states)
    {
        var bits = 0u;
        foreach (var state in states)
            bits |= 1u << (int)state;
        return new(bits);
    }

    public int Count => BitOperations.PopCount(Bits);

    public bool Contains(PointState state) => (Bits & (1u << (int)state)) != 0;
}
