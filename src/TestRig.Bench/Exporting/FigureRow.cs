using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Exporting;

/// <summary>One row of an exported run: one figure of one channel in one cycle; without a figure where the channel gave none.</summary>
/// <param name="Started">RFC 3339, with the bench's offset from UTC.</param>
/// <param name="TookSeconds">The whole cycle.</param>
/// <param name="Expected">"rises", "low-level", and so on.</param>
/// <param name="Figure">"delay", "level", and so on.</param>
/// <param name="Value">In <paramref name="Unit"/>.</param>
public sealed record FigureRow(
    long Cycle, string Started, double TookSeconds, string Outcome, string Channel, string Condition, string? TestPoint, string? Expected, string? Figure, double? Value, string? Unit, double? Lowest, double? Highest)
{
    internal static ParquetTable<FigureRow> Parquet { get; } = new(
        ParquetColumn<FigureRow>.Whole(nameof(Cycle), row => row.Cycle),
        ParquetColumn<FigureRow>.Text(nameof(Started), row => row.Started),
        ParquetColumn<FigureRow>.Number(nameof(TookSeconds), row => row.TookSeconds),
        ParquetColumn<FigureRow>.Text(nameof(Outcome), row => row.Outcome),
        ParquetColumn<FigureRow>.Text(nameof(Channel), row => row.Channel),
        ParquetColumn<FigureRow>.Text(nameof(Condition), row => row.Condition),
        ParquetColumn<FigureRow>.Text(nameof(TestPoint), row => row.TestPoint),
        ParquetColumn<FigureRow>.Text(nameof(Expected), row => row.Expected),
        ParquetColumn<FigureRow>.Text(nameof(Figure), row => row.Figure),
        ParquetColumn<FigureRow>.Number(nameof(Value), row => row.Value),
        ParquetColumn<FigureRow>.Text(nameof(Unit), row => row.Unit),
        ParquetColumn<FigureRow>.Number(nameof(Lowest), row => row.Lowest),
        ParquetColumn<FigureRow>.Number(nameof(Highest), row => row.Highest));

    public static IEnumerable<FigureRow> Of(CycleRecord cycle)
    {
        var started = RecordJson.Instant(cycle.Started);
        foreach (var channel in cycle.Channels)
        {
            var bare = new FigureRow(cycle.Number, started, cycle.Took.TotalSeconds, KebabWord.Of(cycle.Outcome), channel.Channel, KebabWord.Of(channel.Condition), null, null, null, null, null, null, null);
            var figures = cycle.Figures.Where(figure => figure.Key.Channel == channel.Channel).ToList();
            if (figures.Count == 0)
                yield return bare;
            foreach (var figure in figures)
            {
                var (unit, scale) = UnitOf(figure.Key.Kind);
                yield return bare with
                {
                    TestPoint = figure.Key.TestPoint,
                    Expected = KebabWord.Of(figure.Key.Expected),
                    Figure = KebabWord.Of(figure.Key.Kind),
                    Value = figure.Value / scale,
                    Unit = unit,
                    Lowest = figure.Lowest / scale,
                    Highest = figure.Highest / scale,
                };
            }
        }
    }

    /// <summary>A unit that people read, and how many of what is kept make one.</summary>
    private static (string Unit, double Scale) UnitOf(FigureKind kind) => kind switch
    {
        FigureKind.Delay or FigureKind.SettleTime => ("us", 1e6),
        FigureKind.Level => ("V", 1e6),
        FigureKind.Pulses or FigureKind.Bounces => ("1", 1),
        FigureKind.Rate => ("Hz", 1e6),
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown figure."),
    };
}
