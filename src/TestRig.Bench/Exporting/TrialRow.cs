using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;
using TestRig.Core.Trials;

namespace TestRig.Bench.Exporting;

/// <summary>One row of an exported trial: one figure of one part; without a figure where the part was skipped.</summary>
/// <param name="Started">RFC 3339, with the bench's offset from UTC.</param>
/// <param name="TookSeconds">The whole part.</param>
/// <param name="Type">What the parts are said to be.</param>
/// <param name="PartVerdict">"conforms", "violates", "not-resolved"; "skipped" of one that was passed over.</param>
/// <param name="Figure">"transfer-ratio", "on-delay", and so on.</param>
/// <param name="Value">In <paramref name="Unit"/>; empty where it could not be measured.</param>
/// <param name="Uncertainty">Half-width that holds the value with 95 %; of a delay, as far as it may be off at all.</param>
/// <param name="Bound">"at-least" where the measurement only bounds the value: it is this or more; else "exact".</param>
/// <param name="Verdict">Of this figure.</param>
public sealed record TrialRow(
    long Part, string Started, double TookSeconds, string Type, string PartVerdict, double? LedCurrentMilliamperes, string? Figure, double? Value, double? Uncertainty, string? Bound, string? Unit, double? Lowest,
    double? Highest, string? Verdict)
{
    internal static ParquetTable<TrialRow> Parquet { get; } = new(
        ParquetColumn<TrialRow>.Whole(nameof(Part), row => row.Part),
        ParquetColumn<TrialRow>.Text(nameof(Started), row => row.Started),
        ParquetColumn<TrialRow>.Number(nameof(TookSeconds), row => row.TookSeconds),
        ParquetColumn<TrialRow>.Text(nameof(Type), row => row.Type),
        ParquetColumn<TrialRow>.Text(nameof(PartVerdict), row => row.PartVerdict),
        ParquetColumn<TrialRow>.Number(nameof(LedCurrentMilliamperes), row => row.LedCurrentMilliamperes),
        ParquetColumn<TrialRow>.Text(nameof(Figure), row => row.Figure),
        ParquetColumn<TrialRow>.Number(nameof(Value), row => row.Value),
        ParquetColumn<TrialRow>.Number(nameof(Uncertainty), row => row.Uncertainty),
        ParquetColumn<TrialRow>.Text(nameof(Bound), row => row.Bound),
        ParquetColumn<TrialRow>.Text(nameof(Unit), row => row.Unit),
        ParquetColumn<TrialRow>.Number(nameof(Lowest), row => row.Lowest),
        ParquetColumn<TrialRow>.Number(nameof(Highest), row => row.Highest),
        ParquetColumn<TrialRow>.Text(nameof(Verdict), row => row.Verdict));

    /// <param name="judge">By what the type permits.</param>
    public static IEnumerable<TrialRow> Of(TriedPart part, TrialJudge judge)
    {
        var bare = new TrialRow(part.Number, RecordJson.Instant(part.Started), part.Took.TotalSeconds, judge.Claimed.Name, "skipped", null, null, null, null, null, null, null, null, null);
        if (part.Measured is not { } measured)
        {
            yield return bare;
            yield break;
        }
        var judged = judge.Judge(part.Number, measured);
        foreach (var figure in judged.Figures)
        {
            var (unit, scale) = UnitOf(figure.Figure);
            yield return bare with
            {
                PartVerdict = KebabWord.Of(judged.Verdict),
                LedCurrentMilliamperes = FourDigits.Of(measured.Figures.LedCurrent.Value * 1e3),
                Figure = KebabWord.Of(figure.Figure),
                Value = FourDigits.Of(figure.Value?.Value * scale),
                Uncertainty = FourDigits.Of(figure.Value?.Expanded * scale),
                Bound = figure.Value is null ? null : figure.Value.AtLeast ? "at-least" : "exact",
                Unit = unit,
                Lowest = FourDigits.Of(figure.Limit?.Minimum * scale),
                Highest = FourDigits.Of(figure.Limit?.Maximum * scale),
                Verdict = KebabWord.Of(figure.Verdict),
            };
        }
    }

    /// <summary>A unit that people read, and how many of it make one of what is measured in.</summary>
    private static (string Unit, double Scale) UnitOf(TrialFigure figure) => figure switch
    {
        TrialFigure.LedForward => ("V", 1),
        TrialFigure.TransferRatio => ("%", 100),
        TrialFigure.OnDelay or TrialFigure.OffDelay => ("us", 1e6),
        TrialFigure.Leakage => ("nA", 1e9),
        _ => throw new ArgumentOutOfRangeException(nameof(figure), figure, "Unknown figure."),
    };
}
