using System.Collections.Immutable;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Reporting;

/// <summary>What is on record of the board that a run was made of, beside what was measured.</summary>
/// <param name="Serial">The board's serial number; null where nobody said it.</param>
/// <param name="Notes">Of the run, in the order in which they were written.</param>
public sealed record BoardRecord(string? Serial, ImmutableArray<RunNote> Notes)
{
    public static BoardRecord None { get; } = new(null, []);

    public static BoardRecord Of(StoredRun run) => new(run.Serial, run.Notes);
}
