using System.Collections.Immutable;

namespace TestRig.Bench.Storage;

/// <summary>Every column of <see cref="StoreSchema"/> that a copy of a run has to have. A test holds this against the schema.</summary>
internal static class RunTables
{
    public static readonly RunTable Text = new("profile_text", ["sha256", "content"]);

    /// <summary>What a run is from its begin on.</summary>
    public static readonly RunTable Heading = new(
        "run", ["id", "kind", "board", "profile_path", "profile_sha256", "mode", "started_ticks", "started_offset", "options", "program", "simulated", "serial"]);

    /// <summary>What of a run changes as it goes on.</summary>
    public static readonly RunTable Progress = new("run", ["sessions", "cycles", "failed_cycles"]);

    public static readonly RunTable Ending = new("run", ["ended_ticks", "ended_offset", "verdict", "record"]);

    public static readonly RunTable Part = new("run_part", ["name", "sha256"]);

    /// <summary>What a session is from its begin on.</summary>
    public static readonly RunTable Session = new("session", ["number", "started_ticks", "started_offset", "adapter", "host", "process_id"]);

    /// <summary>What of a session changes as it goes on.</summary>
    public static readonly RunTable SessionProgress = new("session", ["last_ticks", "last_offset", "ended_ticks", "ended_offset", "words"]);

    public static readonly RunTable Series = new("series", ["number", "channel", "test_point", "expected", "kind", "lowest", "highest"]);

    public static readonly RunTable Roster = new("roster", ["number", "position", "channel"]);

    public static readonly RunTable Cycle = new("cycle", ["number", "session", "started_ticks", "started_offset", "took_ticks", "outcome", "words", "roster", "figures"]);

    public static readonly RunTable CycleChannel = new("cycle_channel", ["cycle", "position", "condition", "summary"]);

    public static readonly RunTable CycleCheck = new("cycle_check", ["cycle", "position", "words"]);

    public static readonly RunTable Kept = new("kept", ["cycle", "reason", "bytes", "captures"]);

    public static readonly RunTable Note = new("note", ["number", "at_ticks", "at_offset", "author", "words", "serial"]);

    public static readonly RunTable ReplacedPart = new("replaced_part", ["note", "position", "part", "put_in"]);

    public static readonly RunTable TrialPart = new("trial_part", ["number", "session", "started_ticks", "started_offset", "took_ticks", "silent", "words"]);

    public static readonly RunTable TrialValue = new("trial_value", ["part", "quantity", "value", "standard_uncertainty", "expanded_uncertainty", "at_least"]);

    public static readonly ImmutableArray<RunTable> All =
        [Text, Heading, Progress, Ending, Part, Session, SessionProgress, Series, Roster, Cycle, CycleChannel, CycleCheck, Kept, Note, ReplacedPart, TrialPart, TrialValue];

    /// <summary>What belongs to a store and not to a run, as table.column.</summary>
    public static readonly ImmutableArray<string> NotCopied = ["store_schema.version", "run.key"];
}
