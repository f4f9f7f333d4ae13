using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;

namespace TestRig.Bench.Reporting;

/// <summary>What the store has, for other programs: formats testrig-runs/1, testrig-judged/1 and testrig-kept/1.</summary>
public static class RunsJson
{
    public static string Write(IReadOnlyList<StoredRun> runs) => JsonSerializer.Serialize(new ListDocument("testrig-runs/1", [.. runs.Select(Entry)]), RecordJson.Options);

    /// <param name="judged">By cycle.</param>
    public static string Write(string run, IEnumerable<(long Cycle, IReadOnlyList<ChannelResult> Channels)> judged) => JsonSerializer.Serialize(
        new JudgedDocument("testrig-judged/1", run, [.. judged.Select(cycle => new CycleEntry(cycle.Cycle, [.. cycle.Channels.Select(channel => new ChannelEntry(
            channel.Channel.Name, channel.Condition, channel.Summary,
            [.. channel.Findings.Select(finding => new FindingEntry(finding.TestPoint, finding.Expected, finding.Verdict, finding.Timing, finding.Delay?.Picoseconds, finding.Words))]))]))]),
        RecordJson.Options);

    /// <summary>Which cycles' captures are kept.</summary>
    public static string Write(string run, IEnumerable<KeptEntry> kept) => JsonSerializer.Serialize(
        new KeptDocument("testrig-kept/1", run, [.. kept.Select(entry => new KeptCycleEntry(entry.Cycle, entry.Reason, entry.Bytes))]), RecordJson.Options);

    private static RunEntry Entry(StoredRun run) => new(
        run.Heading.Id, run.Heading.Kind, run.Heading.Board, run.Serial, run.Heading.Simulated, StoredSweep.IsOfRecording(run), run.Heading.Profile.Path, RecordJson.Instant(run.Heading.Started), run.Ended is { } ended ? RecordJson.Instant(ended) : null, run.Cycles, run.FailedCycles, run.Bytes,
        run.Verdict, [.. run.Sessions.Select(session => new SessionEntry(session.Number, RecordJson.Instant(session.Started), session.Last is { } last ? RecordJson.Instant(last) : null, session.Ended is { } at ? RecordJson.Instant(at) : null, session.Words))], [.. run.Notes.Select(NoteEntry.Of)]);

    private sealed record ListDocument(string Format, ImmutableArray<RunEntry> Runs);

    /// <param name="Cycles">Of a trial its parts.</param>
    /// <param name="FailingCycles">Of a trial the parts that violate a limit.</param>
    private sealed record RunEntry(
        string Name, RunKind Kind, string Board, string? Serial, bool Simulated, bool Recording, string Profile, string Started, string? Ended, long Cycles, long FailingCycles, long CaptureBytes, string? Verdict, ImmutableArray<SessionEntry> Sessions, ImmutableArray<NoteEntry> Notes);

    private sealed record SessionEntry(int Number, string Started, string? LastCycleEnded, string? Ended, string? Words);

    private sealed record KeptDocument(string Format, string Run, ImmutableArray<KeptCycleEntry> Cycles);

    private sealed record KeptCycleEntry(long Cycle, KeepReason Reason, long Bytes);

    private sealed record JudgedDocument(string Format, string Run, ImmutableArray<CycleEntry> Cycles);

    private sealed record CycleEntry(long Cycle, ImmutableArray<ChannelEntry> Channels);

    private sealed record ChannelEntry(string Name, Condition Condition, string Summary, ImmutableArray<FindingEntry> Findings);

    private sealed record FindingEntry(string TestPoint, Expectation Expected, Verdict Verdict, Timing? Timing, [property: JsonPropertyName("delay_ps")] long? DelayPs, string Words);
}
