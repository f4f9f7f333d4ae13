using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Adapters;
using TestRig.Bench.Reporting;
using TestRig.Core.Learning;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Learning;

/// <summary>What pulses told of a board without a profile, for other programs, format testrig-draft/1. Times are in picoseconds, as the keys say.</summary>
public static class DraftJson
{
    /// <param name="points">The path of the file of lines and points, as the user wrote it.</param>
    /// <param name="repeats">Pulses on each line while a point is seen.</param>
    /// <param name="draft">The draft profile; null where the pulses did not come to their end.</param>
    /// <param name="isProfile">False where the draft has questions only, and does not load.</param>
    /// <param name="written">Where the draft was written; null where nothing was.</param>
    public static string Write(DraftResult result, string points, AdapterIdentity adapter, int repeats, string? draft, bool isProfile, string? written) => JsonSerializer.Serialize(
        new Document(
            "testrig-draft/1", points, AdapterEntry.Of(adapter), repeats, EndingEntry.Of(result.Ending),
            result.Findings?.Chains.Select(Entry).ToImmutableArray(), result.Findings?.Shared.Select(Entry).ToImmutableArray(),
            result.Findings?.Quiet.Select(quiet => new QuietEntry(quiet.Point, quiet.Level)).ToImmutableArray(),
            result.Findings?.Questions.Select(question => new QuestionEntry(question.Topic, question.Subjects, question.Words)).ToImmutableArray(),
            draft, isProfile, written),
        RecordJson.Options);

    private static LineEntry Entry(DraftChain chain) => new(
        chain.Line.Name, [.. chain.Answers.Select(Entry)], [.. chain.Untold.Select(Pair)], [.. chain.Crossed.Select(Pair)]);

    private static ImmutableArray<string> Pair((string First, string Second) pair) => [pair.First, pair.Second];

    private static AnswerEntry Entry(DraftAnswer answer) => new(
        answer.Line.Name, answer.Point, answer.Follows, answer.Seen, answer.Answered, Math.Round(answer.AtLeast, 4), Entry(answer.On), Entry(answer.Off), answer.Bounces, answer.Settle.Picoseconds);

    private static DelayEntry Entry(MeasuredDelay delay) => new(delay.Value.Picoseconds, delay.StandardUncertainty.Picoseconds, delay.ExpandedUncertainty.Picoseconds);

    private sealed record Document(
        string Format, string Points, AdapterEntry Adapter, int Repeats, EndingEntry Ending, ImmutableArray<LineEntry>? Lines, ImmutableArray<AnswerEntry>? Shared, ImmutableArray<QuietEntry>? Quiet,
        ImmutableArray<QuestionEntry>? Questions, string? Draft, bool IsProfile, string? Written);

    /// <param name="Answers">In the order in which a command passes them, as far as that can be told.</param>
    /// <param name="Untold">Pairs whose order the resolution cannot tell.</param>
    /// <param name="Crossed">Pairs that are not one behind the other.</param>
    private sealed record LineEntry(string Name, ImmutableArray<AnswerEntry> Answers, ImmutableArray<ImmutableArray<string>> Untold, ImmutableArray<ImmutableArray<string>> Crossed);

    private sealed record AnswerEntry(
        string Line, string TestPoint, bool Follows, int Pulses, int Answered, double AtLeast, DelayEntry On, DelayEntry Off, int Bounces, [property: JsonPropertyName("settle_ps")] long SettlePs);

    private sealed record DelayEntry(
        [property: JsonPropertyName("value_ps")] long ValuePs, [property: JsonPropertyName("uncertainty_ps")] long UncertaintyPs, [property: JsonPropertyName("expanded_ps")] long ExpandedPs);

    private sealed record QuietEntry(string TestPoint, Level Level);

    private sealed record QuestionEntry(DraftTopic Topic, ImmutableArray<string> Subjects, string Words);
}
