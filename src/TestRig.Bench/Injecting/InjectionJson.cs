using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Reporting;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Injecting;

/// <summary>The record of an injection for other programs, format testrig-inject/1.</summary>
public static class InjectionJson
{
    /// <param name="profile">The profile's path as the user wrote it.</param>
    public static string Write(InjectionResult result, string profile) => JsonSerializer.Serialize(
        new Document(
            "testrig-inject/1", result.Board.Name, profile, AdapterEntry.Of(result.Adapter), result.Mode,
            result.Injection.Channel.Name, result.Injection.Net, result.Pin, result.Injection.Series.Value,
            EndingEntry.Of(result.Ending), [.. result.Checks.Select(check => new CheckEntry(check.Name, check.Good, check.Made, check.Words))],
            result.Outcome, result.Judged.Condition, result.Judged.Summary,
            [.. result.Judged.Findings.Select(finding => new FindingEntry(finding.TestPoint, finding.Expected, finding.Verdict, finding.Timing, finding.Cause, finding.Delay?.Picoseconds, finding.Words))],
            result.Outcome == InjectionOutcome.BehindWorks ? result.InFront : [],
            [.. result.Diagnosis.Faults.Select(fault => new FaultEntry([.. fault.Suspects.Select(suspect => new GroupEntry(suspect.Group, suspect.Words, Math.Round(suspect.Belief, 4)))], fault.Advice))]),
        RecordJson.Options);

    private sealed record Document(
        string Format, string Board, string Profile, AdapterEntry Adapter, ExerciseMode Mode, string Channel, string Net, string Pin, [property: JsonPropertyName("series_ohm")] double SeriesOhm,
        EndingEntry Ending, ImmutableArray<CheckEntry> Checks, InjectionOutcome Outcome, Condition Condition, string Summary, ImmutableArray<FindingEntry> Findings,
        ImmutableArray<string> InFront, ImmutableArray<FaultEntry> Faults);

    private sealed record CheckEntry(string Name, bool Good, bool Made, string Words);

    private sealed record FindingEntry(
        string TestPoint, Expectation Expected, Verdict Verdict, Timing? Timing, string? Cause, [property: JsonPropertyName("delay_ps")] long? DelayPs, string Words);

    private sealed record FaultEntry(ImmutableArray<GroupEntry> Suspects, string Advice);

    private sealed record GroupEntry(ImmutableArray<string> Group, string Words, double Belief);
}
