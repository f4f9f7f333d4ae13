using System.Collections.Immutable;
using System.Numerics;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>
/// How an explanation bears on what was seen, one bit for each experiment that was made: whether it predicts the outcome, and whether it predicts anything else than a good one shows.
/// </summary>
internal sealed class Bearing
{
    private readonly ulong[] _fits;
    private readonly ulong[] _touches;

    private Bearing(ulong[] fits, ulong[] touches, int open) => (_fits, _touches, Open) = (fits, touches, open);

    /// <summary>Experiments in which either of two may have won: whether their outcomes are predicted is not known, though it is taken for so.</summary>
    public int Open { get; }

    public static Bearing Of(ImmutableArray<Forecast> forecasts, ImmutableArray<Forecast> good, ImmutableArray<Shown> seen)
    {
        var (fits, touches) = (new ulong[Words(seen.Length)], new ulong[Words(seen.Length)]);
        for (var i = 0; i < seen.Length; i++)
        {
            var possible = Union(forecasts, seen[i].Experiment);
            if ((possible & seen[i].Possible) != 0)
                fits[i / 64] |= 1ul << (i % 64);
            if (possible != Union(good, seen[i].Experiment))
                touches[i / 64] |= 1ul << (i % 64);
        }
        return new(fits, touches, open: 0);
    }

    /// <summary>Experiments, of <paramref name="count"/> seen, whose outcome it does not predict.</summary>
    public int Misfits(int count) => count - _fits.Sum(word => BitOperations.PopCount(word));

    /// <summary>The sum of a figure of each experiment over those whose outcome it does not predict.</summary>
    public double OfMisfits(double[] figures)
    {
        var sum = 0.0;
        for (var word = 0; word < _fits.Length; word++)
        {
            for (var left = ~_fits[word]; left != 0; left &= left - 1)
            {
                var experiment = (word * 64) + BitOperations.TrailingZeroCount(left);
                if (experiment < figures.Length)
                    sum += figures[experiment];
            }
        }
        return sum;
    }

    public bool Overlaps(Bearing other)
    {
        for (var i = 0; i < _touches.Length; i++)
        {
            if ((_touches[i] & other._touches[i]) != 0)
                return true;
        }
        return false;
    }

    /// <summary>
    /// Both at once, as well as one can tell without a prediction: where only one of them makes a difference, that one counts. Where both do, either may win.
    /// </summary>
    public Bearing With(Bearing other, Bearing good)
    {
        var (fits, touches, open) = (new ulong[_fits.Length], new ulong[_fits.Length], Open + other.Open);
        for (var i = 0; i < fits.Length; i++)
        {
            ulong mine = _touches[i], others = other._touches[i];
            fits[i] = (mine & others & (_fits[i] | other._fits[i] | good._fits[i]))
                | (mine & ~others & _fits[i])
                | (others & ~mine & other._fits[i])
                | (~mine & ~others & good._fits[i]);
            touches[i] = mine | others;
            open += BitOperations.PopCount(mine & others & fits[i] & ~(_fits[i] & other._fits[i]));
        }
        return new(fits, touches, open);
    }

    private static int Words(int bits) => (bits + 63) / 64;

    private static uint Union(ImmutableArray<Forecast> forecasts, int experiment)
    {
        var possible = 0u;
        foreach (var forecast in forecasts)
            possible |= forecast.At(experiment);
        return possible;
    }
}
