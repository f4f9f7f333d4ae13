using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Reporting;
using TestRig.Core.Trials;

namespace TestRig.Bench.Trials;

/// <summary>The record of a trial for other programs, format testrig-trial/1. Values are in volts, amperes, seconds, or fractions, as the names say.</summary>
public static class TrialJson
{
    private const string Format = "testrig-trial/1";

    /// <summary>The JSON Schema of it.</summary>
    public static string Schema() => RecordSchema.Write(typeof(Document), Format, "The record of a trial (trial.json)");

    /// <param name="run">By which the store knows it.</param>
    /// <param name="profile">The profile's path as the user wrote it.</param>
    /// <param name="record">What is on record of the socket beside this.</param>
    public static string Write(TrialResult result, string run, string profile, BoardRecord record) => JsonSerializer.Serialize(
        new Document(
            Format, run, result.Board.Name, profile, result.Claimed.Name, AdapterEntry.Of(result.Adapter), RecordJson.Instant(result.Started),
            FourDigits.Of(result.Empty.Value),
            [.. result.Batch.Parts.Select(Entry)],
            result.Skipped,
            [.. result.Batch.Outliers.Select(outlier => new OutlierEntry(outlier.Number, outlier.Figure, FourDigits.Of(outlier.Score)))],
            result.Batch.TransferRatio is { Lower: { } lower, Upper: { } upper } limits
                ? new(FourDigits.Of(lower), FourDigits.Of(upper), limits.Number, BatchTrial.Aim.Coverage, BatchTrial.Aim.Confidence)
                : null,
            result.Batch.Suspicions, result.Batch.Verdict, result.Ending, record.Serial, NoteEntry.Of(record)),
        RecordJson.Options);

    private static PartEntry Entry(PartTrial part) => new(
        part.Number, part.Verdict, FourDigits.Of(part.Measured.LedCurrent.Value),
        [.. part.Figures.Select(judged => new FigureEntry(
            judged.Figure, FourDigits.Of(judged.Value?.Value), FourDigits.Of(judged.Value?.Expanded), judged.Value?.AtLeast ?? false,
            FourDigits.Of(judged.Limit?.Minimum), FourDigits.Of(judged.Limit?.Maximum), judged.Limit?.Origin, judged.Verdict, judged.Because))],
        part.Suspicions);

    private sealed record Document(
        string Format, string Run, string Board, string Profile, string Type, AdapterEntry Adapter, string Started, [property: JsonPropertyName("emptySocket_v")] double EmptySocketV,
        ImmutableArray<PartEntry> Parts, ImmutableArray<int> Skipped, ImmutableArray<OutlierEntry> Outliers, ToleranceEntry? TransferRatioTolerance, ImmutableArray<string> Suspicions,
        TrialVerdict Verdict, string Ending, string? Serial, ImmutableArray<NoteEntry>? Notes);

    private sealed record PartEntry(
        int Part, TrialVerdict Verdict, [property: JsonPropertyName("ledCurrent_a")] double LedCurrentA, ImmutableArray<FigureEntry> Figures, ImmutableArray<string> Suspicions);

    /// <param name="Uncertainty">Expanded, 95 %.</param>
    private sealed record FigureEntry(
        TrialFigure Figure, double? Value, double? Uncertainty, bool AtLeast, double? Minimum, double? Maximum, string? Origin, TrialVerdict Verdict, string? Because);

    private sealed record OutlierEntry(int Part, TrialFigure Figure, double ModifiedZScore);

    private sealed record ToleranceEntry(double Lower, double Upper, int Parts, double Coverage, double Confidence);
}
