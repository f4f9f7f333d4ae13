using System.Collections.Immutable;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Storage;

/// <summary>Runs with their sessions and profiles.</summary>
internal static class RunRows
{
    /// <summary>Runs that one statement reads: what names them all is not to grow without bounds.</summary>
    private const int RunsAtOnce = 500;

    /// <summary>A cycle of the run has a channel that is working: those have no rows of their own, unless something is to be said of them.</summary>
    private const string AnyWorking = """
        exists (
            select 1 from cycle where cycle.run_key = run.key
            and (select count(*) from roster where roster.run_key = cycle.run_key and roster.number = cycle.roster)
            > (select count(*) from cycle_channel where cycle_channel.run_key = cycle.run_key and cycle_channel.cycle = cycle.number and cycle_channel.condition <> @Condition))
        """;

    public static async Task<long> AddAsync(StoreLink link, RunHeading run)
    {
        var profile = await ProfileRows.AddTextAsync(link, run.Profile.Text);
        var key = await link.RowAsync<long>(
            """
            insert into run (
                id, kind, board, profile_path, profile_sha256, mode, started_ticks, started_offset, options, program, simulated, serial, sessions, cycles, failed_cycles)
            values (@Id, @Kind, @Board, @Path, @Profile, @Mode, @Ticks, @Offset, @Options, @Program, @Simulated, @Serial, 0, 0, 0)
            returning key
            """,
            new
            {
                run.Id,
                Kind = run.Kind.ToString(),
                run.Board,
                run.Profile.Path,
                Profile = profile,
                Mode = run.Mode.ToString(),
                Ticks = run.Started.UtcTicks,
                Offset = StoredInstant.Offset(run.Started),
                run.Options,
                run.Program,
                Simulated = run.Simulated ? 1L : 0L,
                run.Serial,
            });
        await ProfileRows.AddPartsAsync(link, key, run.Profile.Parts);
        return key;
    }

    /// <summary>Those of all runs that <paramref name="filter"/> wants, the latest first.</summary>
    public static async Task<IReadOnlyList<StoredRun>> ListAsync(StoreLink link, RunFilter filter)
    {
        List<string> wanted = [];
        if (filter.Kind is not null)
            wanted.Add("run.kind = @Kind");
        if (filter.Failed is { } failed)
            wanted.Add(failed ? "run.failed_cycles > 0" : "run.failed_cycles = 0");
        if (filter.Since is not null)
            wanted.Add("run.started_ticks >= @Since");
        if (filter.Until is not null)
            wanted.Add("run.started_ticks < @Until");
        if (filter.Condition is { } condition)
            wanted.Add(condition == Condition.Working ? AnyWorking : "exists (select 1 from cycle_channel where cycle_channel.run_key = run.key and cycle_channel.condition = @Condition)");
        if (filter.Before is not null)
            wanted.Add("(run.started_ticks, run.key) < (select other.started_ticks, other.key from run other where other.id = @Before)");
        var heads = await link.RowsAsync<HeadRow>(
            $"""
            select
                run.key as {nameof(HeadRow.Key)}, run.board as {nameof(HeadRow.Board)},
                coalesce((select note.serial from note where note.run_key = run.key and note.serial is not null order by note.number desc limit 1), run.serial) as {nameof(HeadRow.Serial)}
            from run {(wanted.Count == 0 ? "" : $"where {string.Join(" and ", wanted)}")} order by run.started_ticks desc, run.key desc
            """,
            new { Kind = filter.Kind?.ToString(), Since = filter.Since?.UtcTicks, Until = filter.Until?.UtcTicks, Condition = filter.Condition?.ToString(), filter.Before });
        // Databases fold letters in ways of their own.
        var keys = heads.Where(head =>
                (filter.Board is not { } board || head.Board.Contains(board, StringComparison.OrdinalIgnoreCase))
                && (filter.Serial is not { } serial || string.Equals(head.Serial, serial, StringComparison.OrdinalIgnoreCase)))
            .Select(head => head.Key).Take(filter.Most ?? int.MaxValue);
        List<StoredRun> runs = [];
        foreach (var some in keys.Chunk(RunsAtOnce))
            runs.AddRange(await ReadAsync(link, $"where run.key in ({string.Join(", ", some)})", new { }));
        return runs;
    }

    public static async Task<StoredRun?> FindAsync(StoreLink link, string run) => (await ReadAsync(link, "where run.id = @Run", new { Run = run })).SingleOrDefault();

    private static async Task<List<StoredRun>> ReadAsync(StoreLink link, string where, object values)
    {
        var runs = await link.RowsAsync<RunRow>(
            $"""
            select
                run.key as {nameof(RunRow.Key)}, run.id as {nameof(RunRow.Id)}, run.kind as {nameof(RunRow.Kind)}, run.board as {nameof(RunRow.Board)},
                run.profile_path as {nameof(RunRow.Path)}, run.profile_sha256 as {nameof(RunRow.Profile)}, run.mode as {nameof(RunRow.Mode)},
                run.started_ticks as {nameof(RunRow.StartedTicks)}, run.started_offset as {nameof(RunRow.StartedOffset)}, run.options as {nameof(RunRow.Options)},
                run.program as {nameof(RunRow.Program)}, run.simulated as {nameof(RunRow.Simulated)}, run.serial as {nameof(RunRow.Serial)}, run.cycles as {nameof(RunRow.Cycles)}, run.failed_cycles as {nameof(RunRow.FailedCycles)},
                run.ended_ticks as {nameof(RunRow.EndedTicks)}, run.ended_offset as {nameof(RunRow.EndedOffset)}, run.verdict as {nameof(RunRow.Verdict)},
                (select cast(sum(kept.bytes) as bigint) from kept where kept.run_key = run.key) as {nameof(RunRow.Bytes)}
            from run {where} order by run.started_ticks desc, run.key desc
            """,
            values);
        var sessions = (await link.RowsAsync<SessionRow>(
            $"""
            select
                session.run_key as {nameof(SessionRow.Run)}, session.number as {nameof(SessionRow.Number)}, session.started_ticks as {nameof(SessionRow.StartedTicks)},
                session.started_offset as {nameof(SessionRow.StartedOffset)}, session.last_ticks as {nameof(SessionRow.LastTicks)}, session.last_offset as {nameof(SessionRow.LastOffset)},
                session.ended_ticks as {nameof(SessionRow.EndedTicks)}, session.ended_offset as {nameof(SessionRow.EndedOffset)}, session.words as {nameof(SessionRow.Words)},
                session.adapter as {nameof(SessionRow.Adapter)}, session.host as {nameof(SessionRow.Host)}, session.process_id as {nameof(SessionRow.ProcessId)}
            from session join run on run.key = session.run_key {where} order by session.number
            """,
            values)).ToLookup(session => session.Run);
        var parts = (await link.RowsAsync<PartRow>(
            $"""
            select run_part.run_key as {nameof(PartRow.Run)}, run_part.name as {nameof(PartRow.Name)}, run_part.sha256 as {nameof(PartRow.Sha256)}
            from run_part join run on run.key = run_part.run_key {where}
            """,
            values)).ToLookup(part => part.Run);
        var notes = await NoteRows.ReadAsync(link, where, values);
        // A text that many runs share is read once.
        var texts = (await link.RowsAsync<TextRow>(
            $"""
            select profile_text.sha256 as {nameof(TextRow.Sha256)}, profile_text.content as {nameof(TextRow.Content)} from profile_text
            where profile_text.sha256 in (select run.profile_sha256 from run {where})
            or profile_text.sha256 in (select run_part.sha256 from run_part join run on run.key = run_part.run_key {where})
            """,
            values)).ToDictionary(text => text.Sha256, text => text.Content);
        return runs.ConvertAll(run => new StoredRun(
            new(
                run.Id, StoredWord.Read<RunKind>(run.Kind), run.Board,
                new(run.Path, texts[run.Profile], parts[run.Key].ToImmutableSortedDictionary(part => part.Name, part => texts[part.Sha256], StringComparer.Ordinal)),
                StoredWord.Read<ExerciseMode>(run.Mode), StoredInstant.Of(run.StartedTicks, run.StartedOffset), run.Options, run.Program)
            {
                Simulated = run.Simulated != 0,
                Serial = run.Serial,
            },
            run.Cycles, run.FailedCycles, [.. sessions[run.Key].Select(SessionOf)], StoredInstant.Of(run.EndedTicks, run.EndedOffset), run.Verdict, run.Bytes ?? 0)
        {
            Notes = [.. notes[run.Key]],
        });
    }

    private static StoredSession SessionOf(SessionRow row) => new(
        (int)row.Number, StoredInstant.Of(row.StartedTicks, row.StartedOffset), StoredInstant.Of(row.LastTicks, row.LastOffset), StoredInstant.Of(row.EndedTicks, row.EndedOffset),
        row.Words, row.Adapter, row.Host, (int)row.ProcessId);

    private sealed class HeadRow
    {
        public long Key { get; init; }

        public string Board { get; init; } = "";

        public string? Serial { get; init; }
    }

    private sealed class RunRow
    {
        public long Key { get; init; }

        public string Id { get; init; } = "";

        public string Kind { get; init; } = "";

        public string Board { get; init; } = "";

        public string Path { get; init; } = "";

        public string Profile { get; init; } = "";

        public string Mode { get; init; } = "";

        public long StartedTicks { get; init; }

        public long StartedOffset { get; init; }

        public string Options { get; init; } = "";

        public string Program { get; init; } = "";

        public long Simulated { get; init; }

        public string? Serial { get; init; }

        public long Cycles { get; init; }

        public long FailedCycles { get; init; }

        public long? EndedTicks { get; init; }

        public long? EndedOffset { get; init; }

        public string? Verdict { get; init; }

        public long? Bytes { get; init; }
    }

    private sealed class SessionRow
    {
        public long Run { get; init; }

        public long Number { get; init; }

        public long StartedTicks { get; init; }

        public long StartedOffset { get; init; }

        public long? LastTicks { get; init; }

        public long? LastOffset { get; init; }

        public long? EndedTicks { get; init; }

        public long? EndedOffset { get; init; }

        public string? Words { get; init; }

        public string Adapter { get; init; } = "";

        public string Host { get; init; } = "";

        public long ProcessId { get; init; }
    }

    private sealed class PartRow
    {
        public long Run { get; init; }

        public string Name { get; init; } = "";

        public string Sha256 { get; init; } = "";
    }

    private sealed class TextRow
    {
        public string Sha256 { get; init; } = "";

        public string Content { get; init; } = "";
    }
}
