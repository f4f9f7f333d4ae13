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
    public static IEnumerable<FigureRow> Of(CycleRecord cycle)
    {
        var started = RecordJson.Instant(cycle.Started);
        foreach (var channel in cycle.Channels)
        {
            var bare = new FigureRow(cycle.Number, started, cycle.Took.TotalSeconds, Word(cycle.Outcome), channel.Channel, Word(channel.Condition), null, null, null, null, null, null, null);
            var figures = cycle.Figures.Where(figure => figure.Key.Channel == channel.Channel).ToList();
            if (figures.Count == 0)
                yield return bare;
            foreach (var figure in figures)
            {
                var (unit, scale) = UnitOf(figure.Key.Kind);
                yield return bare with
                {
                    TestPoint = figure.Key.TestPoint,
                    Expected = Word(figure.Key.Expected),
                    Figure = Word(figure.Key.Kind),
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

    /// <summary>As in every record for other programs: "stuck-high".</summary>
    private static string Word<T>(T value)
        where T : struct, Enum => System.Text.Json.JsonNamingPolicy.KebabCaseLower.ConvertName(value.ToString());
}
