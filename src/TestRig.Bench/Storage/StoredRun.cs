using System.Collections.Immutable;

namespace TestRig.Bench.Storage;

/// <summary>A run as the store knows it.</summary>
/// <param name="Cycles">Cycles that were stored; of a trial the parts that had their turn, those that were passed over, too.</param>
/// <param name="FailedCycles">Of those, cycles with a channel that is neither working nor untested, or with a check that is not good; of a trial the parts that violated a limit.</param>
/// <param name="Sessions">At least one once something was driven.</param>
/// <param name="Verdict">Null until it came to its end.</param>
/// <param name="Bytes">That captures of it take.</param>
public sealed record StoredRun(
    RunHeading Heading, long Cycles, long FailedCycles, ImmutableArray<StoredSession> Sessions, DateTimeOffset? Ended, string? Verdict, long Bytes)
{
    /// <summary>In the order in which they were written.</summary>
    public ImmutableArray<RunNote> Notes { get; init; } = [];

    /// <summary>The board's serial number, as was said last; null where nobody did.</summary>
    public string? Serial => Notes.LastOrDefault(note => note.Serial is not null)?.Serial ?? Heading.Serial;
}

/// <param name="Ended">Null where nobody was left to say so: a crash, a power cut, or it still runs.</param>
/// <param name="Last">The end of its last cycle, or part; null when it has none. Until the next session's start nothing was measured.</param>
public sealed record StoredSession(int Number, DateTimeOffset Started, DateTimeOffset? Last, DateTimeOffset? Ended, string? Words, string Adapter, string Host, int ProcessId);
