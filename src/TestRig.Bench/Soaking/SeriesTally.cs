using TestRig.Bench.Storage;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Soaking;

/// <summary>One measured figure through a run.</summary>
/// <param name="first">With the limits that all are held against.</param>
public sealed class SeriesTally(CycleFigure first, BlockMeans blocks)
{
    private readonly RunningMean _values = new();

    public FigureKey Key => first.Key;

    public long? Lowest => first.Lowest;

    public long? Highest => first.Highest;

    public long Least { get; private set; } = long.MaxValue;

    public long Most { get; private set; } = long.MinValue;

    /// <summary>The cycle in which it was <see cref="Most"/>.</summary>
    public long MostIn { get; private set; }

    public long Count => blocks.Count;

    /// <summary>Of all its values.</summary>
    public double Mean => _values.Mean;

    /// <summary>Experimental standard deviation of single values; null of fewer than two.</summary>
    public double? Spread => _values.StandardDeviation;

    /// <summary>Means over equally many cycles, by hours from the start of the run.</summary>
    public IReadOnlyList<TimedValue> Blocks => blocks.Blocks;

    /// <summary>Within what its values lay, by the same hours: nothing that happened once is hidden in a mean.</summary>
    public IReadOnlyList<ValueRange> Ranges => blocks.Ranges;

    public void Add(long cycle, double hours, long value)
    {
        Least = Math.Min(Least, value);
        if (value > Most)
            (Most, MostIn) = (value, cycle);
        _values.Add(value);
        blocks.Add(new(hours, value));
    }

    /// <summary>Where it is going; null while there is too little to tell.</summary>
    public Trend? Trend => Core.Statistics.Trend.Of(blocks.Blocks);

    /// <summary>The value that came nearest to a limit, or went farthest beyond it; the largest where there is none.</summary>
    public long Worst => StrainOf(Least) > StrainOf(Most) ? Least : Most;

    /// <summary>How near its worst value came to a limit: 1 at the limit, more beyond it; null where it has none.</summary>
    public double? Strain => StrainOf(Worst);

    private double? StrainOf(long value) => (Lowest ?? 0, Highest) switch
    {
        (0, { } highest) => value / (double)highest,
        ( > 0 and var lowest, null) => lowest / (double)value,
        var (lowest, highest) when highest > lowest => Math.Abs(value - Middle(lowest, highest.Value)) / (highest.Value - Middle(lowest, highest.Value)),
        _ => null,
    };

    private static double Middle(long lowest, long highest) => (lowest / 2.0) + (highest / 2.0);
}
