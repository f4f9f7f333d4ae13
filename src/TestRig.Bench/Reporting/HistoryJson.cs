using System.Collections.Immutable;
using System.Text.Json;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;

namespace TestRig.Bench.Reporting;

/// <summary>What is known of boards over the years, for other programs: format testrig-history/1.</summary>
public static class HistoryJson
{
    public static string Write(IEnumerable<BoardHistory> boards) => JsonSerializer.Serialize(new Document("testrig-history/1", [.. boards.Select(Entry)]), RecordJson.Options);

    private static BoardEntry Entry(BoardHistory board) => new(board.Board, board.Serial, [.. board.Runs.Select(Entry)]);

    private static RunEntry Entry(PastRun past) => new(
        past.Run.Heading.Id, past.Run.Heading.Kind, past.Run.Heading.Simulated, StoredSweep.IsOfRecording(past.Run), RecordJson.Instant(past.Run.Heading.Started), past.Run.Cycles, past.Run.FailedCycles, past.Run.Verdict,
        [.. past.Failures.Select(failure => new FailureEntry(failure.Channel, failure.Condition, failure.Cycles))], [.. past.Run.Notes.Select(NoteEntry.Of)]);

    private sealed record Document(string Format, ImmutableArray<BoardEntry> Boards);

    private sealed record BoardEntry(string Board, string? Serial, ImmutableArray<RunEntry> Runs);

    private sealed record RunEntry(
        string Name, RunKind Kind, bool Simulated, bool Recording, string Started, long Cycles, long FailingCycles, string? Verdict, ImmutableArray<FailureEntry> Failures, ImmutableArray<NoteEntry> Notes);

    private sealed record FailureEntry(string Channel, Condition Condition, long Cycles);
}
