using System.Collections.Immutable;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Reporting;

/// <summary>What is known of one board over the years.</summary>
/// <param name="Serial">Null where the runs' serial number is not on record: they may be of several boards.</param>
/// <param name="Runs">The earliest first.</param>
public sealed record BoardHistory(string Board, string? Serial, ImmutableArray<PastRun> Runs)
{
    /// <summary>Each replacement of a part, the earliest first, with the run behind which it was made.</summary>
    public IEnumerable<(ReplacedPart Part, RunNote Note, StoredRun Run)> Replacements => Runs
        .SelectMany(run => run.Run.Notes.SelectMany(note => note.Replaced.Select(part => (part, note, run.Run))))
        .OrderBy(replaced => replaced.note.At);

    /// <summary>Of every board that the runs are of, by serial number where there is one, and else by name.</summary>
    public static ImmutableArray<BoardHistory> Of(IEnumerable<PastRun> runs) =>
    [
        .. runs.GroupBy(run => (Board: run.Run.Serial is null ? run.Run.Heading.Board : "", Serial: run.Run.Serial?.ToUpperInvariant()))
            .Select(group => group.OrderBy(run => run.Run.Heading.Started).ToImmutableArray())
            .Select(board => new BoardHistory(board[^1].Run.Heading.Board, board[^1].Run.Serial, board))
            .OrderBy(history => history.Board, StringComparer.OrdinalIgnoreCase).ThenBy(history => history.Serial, StringComparer.OrdinalIgnoreCase),
    ];
}

/// <param name="Failures">Which of its channels failed.</param>
public sealed record PastRun(StoredRun Run, ImmutableArray<ChannelFailures> Failures);
