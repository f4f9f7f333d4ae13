using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Reporting;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Probing;

/// <summary>The record of probing for other programs, format testrig-probe/1: every step with what was expected, what was seen, and what was left.</summary>
public static class ProbeJson
{
    /// <param name="profile">The profile's path as the user wrote it.</param>
    public static string Write(ProbeResult result, string profile) => JsonSerializer.Serialize(
        new Document(
            "testrig-probe/1", result.Board.Name, profile, result.Channel.Name, result.Mode,
            AdapterEntry.Of(result.Adapter), result.LeadPin,
            [.. result.Refused.Select(point => new RefusedEntry(point.Name, point.Refused!))],
            [.. result.Steps.Select(Entry)],
            result.Outcome, EndingEntry.Of(result.Ending),
            [.. result.Faults.Select(fault => new FaultEntry([.. fault.Suspects.Select(suspect => new GroupEntry(suspect.Group, suspect.Words, Rounded(suspect.Belief)))], fault.Advice))]),
        RecordJson.Options);

    private static StepEntry Entry(ProbeStep step) => new(
        step.Point, step.Question is null ? null : step.Answer, step.Question?.Point.Point.Divider is { } divider ? $"{divider.Upper} / {divider.Lower}" : null,
        step.Question is { } question ? Rounded(question.Information) : null,
        step.Question?.Expected.Select(expectation => new ExpectedEntry(expectation.Sight, Rounded(expectation.Probability), expectation.Items)).ToImmutableArray(),
        step.Trace is { } trace ? new(trace.Before, trace.During, trace.After, trace.Surplus) : null,
        [.. step.Findings.Select(finding => new FindingEntry(
            finding.Expected, finding.Verdict, finding.Cause, finding.Delay?.Picoseconds, finding.Level is { } level ? Math.Round(level.Value, 3) : null, finding.Words))],
        [.. step.Suspects.Select(suspect => new SuspectEntry(suspect.Item, suspect.Item is null ? null : suspect.Words, Rounded(suspect.Belief)))]);

    private static double Rounded(double share) => Math.Round(share, 4);

    private sealed record Document(
        string Format, string Board, string Profile, string Channel, ExerciseMode Mode, AdapterEntry Adapter, string Lead, ImmutableArray<RefusedEntry> Refused, ImmutableArray<StepEntry> Steps,
        ProbeOutcome Outcome, EndingEntry Ending, ImmutableArray<FaultEntry> Faults);

    private sealed record RefusedEntry(string TestPoint, string Because);

    /// <param name="Answer">Null of the first step, before the lead touched anything.</param>
    private sealed record StepEntry(
        string TestPoint, ProbeAnswer? Answer, string? Divider, [property: JsonPropertyName("information_bits")] double? InformationBits, ImmutableArray<ExpectedEntry>? Expected, SeenEntry? Seen,
        ImmutableArray<FindingEntry> Findings, ImmutableArray<SuspectEntry> Suspects);

    private sealed record ExpectedEntry(ProbeSight Sight, double Probability, ImmutableArray<string> Items);

    private sealed record SeenEntry(Level Before, Level During, Level After, int Surplus);

    private sealed record FindingEntry(
        Expectation Expected, Verdict Verdict, string? Cause, [property: JsonPropertyName("delay_ps")] long? DelayPs, [property: JsonPropertyName("level_v")] double? LevelV, string Words);

    /// <param name="Item">Null: nothing is wrong.</param>
    private sealed record SuspectEntry(string? Item, string? Words, double Belief);

    private sealed record FaultEntry(ImmutableArray<GroupEntry> Suspects, string Advice);

    private sealed record GroupEntry(ImmutableArray<string> Group, string Words, double Belief);
}
