using TestRig.Bench.Storage;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Soaking;

/// <summary>One measured figure through a run.</summary>
/// <param name="first">With the limits that all are held against.</param>
public sealed class SeriesTally(CycleFigure first, BlockMeans blocks)
{
    public FigureKey Key => first.Key;

    public long? Lowest => first.Lowest;

    public long? Highest => first.Highest;

    public long Least { get; private set; } = long.MaxValue;

    public long Most { get; private set; } = long.MinValue;

    /// <summary>The cycle in which it was <see cref="Most"/>.</summary>
    public long MostIn { get; private set; }

    public long Count => blocks.Count;

    /// <summary>Means over equally many cycles, by hours from the start of the run.</summary>
    public IReadOnlyList<TimedValue> Blocks => blocks.Blocks;

    public void Add(long cycle, double hours, long value)
    {
        Least = Math.Min(Least, value);
        if (value > Most)
            (Most, MostIn) = (value, cycle);
        blocks.Add(new(hours, value));
    }

    /// <summary>Where it is going; null while there is too little to tell.</summary>
    public Trend? Trend => Core.Statistics.Trend.Of(blocks.Blocks);

    /// <summary>How near its worst value came to a limit: 0 in the middle of the limits, 1 at one of them; null where it has none on a side that matters.</summary>
    public double? Strain
    {
        get
        {
            if (Highest is not { } highest || highest == (Lowest ?? 0))
                return null;
            var (lowest, half) = (Lowest ?? 0, (highest - (double)(Lowest ?? 0)) / 2);
            var middle = lowest + half;
            return Math.Max(Most - middle, middle - Least) / half;
        }
    }
}
