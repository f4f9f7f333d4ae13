using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Core.Judging;

namespace TestRig.Bench.Storage;

/// <summary>
/// Brings one run from a store to another, a page at a time. Each page is one transaction of the other store: it locks the run there, reads how far it has come, and adds what follows. So nothing is there twice and nothing is
/// left out, whatever ends when, and whether or not it was heard of the last page that it was stored. After each page the copy is the run as it was after one of its cycles.
/// </summary>
/// <param name="cyclesAtOnce">That a page brings at most.</param>
/// <param name="bytesAtOnce">Of captures, that a page brings at most, though always those of one cycle.</param>
internal sealed class RunCopy(StoreDatabase from, StoreDatabase to, string run, int cyclesAtOnce = 256, long bytesAtOnce = 8 * 1024 * 1024)
{
    private static readonly int _sessionEnded = RunTables.Session.Columns.Length + RunTables.SessionProgress.Columns.IndexOf("ended_ticks");

    /// <summary>The captures that the copy has, by cycle; null when that has to be read there.</summary>
    private Dictionary<long, Captures>? _kept;

    /// <summary>What the original had when the copy became whole; null when it is not.</summary>
    private Extent? _whole;

    /// <summary>The sessions, and ends, that there were when all captures were compared; it is done once for each end.</summary>
    private (long Sessions, long Ended, object? RunEnded)? _compared;

    /// <summary>Copies what is missing.</summary>
    /// <inheritdoc cref="PageAsync"/>
    public async Task CopyAsync(CancellationToken cancellation)
    {
        while (!(await PageAsync(cancellation)).Whole)
        {
            // Each page brings the next ones nearer.
        }
    }

    /// <summary>Copies the next page.</summary>
    /// <exception cref="RunStorageException">
    /// One of the stores cannot be reached or refuses; or the other store has another run of this name, or somebody goes on with this one there. Nothing of this page was stored, unless it is the answer that got lost.
    /// </exception>
    public async Task<CopiedPage> PageAsync(CancellationToken cancellation)
    {
        // Whether a page that fails was stored is not known.
        var known = _kept;
        (_kept, _whole) = (null, null);
        if (await to.WriteAsync(there => BringAsync(there, known, cancellation), cancellation) is not { } page)
        {
            await BeginAsync(cancellation);
            return await PageAsync(cancellation);
        }
        _kept = page.Kept;
        if (page.Progress.Whole)
            (_whole, _compared) = (page.Original.Extent, page.Compared);
        return page.Progress;
    }

    /// <summary>Deletes the original of a run that has come to its end, once the copy is whole.</summary>
    /// <returns>False when the original has changed since the last page, or has not ended: it stays.</returns>
    public async Task<bool> DeleteOriginalAsync(CancellationToken cancellation)
    {
        if (_whole is not { } whole)
            return false;
        var deleted = await from.WriteAsync(
            async here =>
            {
                await ProfileRows.OneAtATimeAsync(here);
                if ((await here.ValuesAsync($"select {RunState.Columns} from run where id = @Run and ended_ticks is not null", new { Run = run })).SingleOrDefault() is not { } row || RunState.Of(row).Extent != whole)
                    return false;
                await here.ExecuteAsync("delete from run where id = @Run", new { Run = run });
                await ProfileRows.SweepOutAsync(here);
                return true;
            },
            cancellation);
        if (deleted)
            await from.GiveBackAsync(cancellation);
        return deleted;
    }

    private async Task<Page?> BringAsync(StoreLink there, Dictionary<long, Captures>? known, CancellationToken cancellation)
    {
        if (await CopyOfAsync(there) is not { } copy)
            return null;
        var sessions = await RowsAsync(there, copy.Key, [.. RunTables.Session.Columns, .. RunTables.SessionProgress.Columns]);
        var notes = copy.Notes > 0 ? await NotesAsync(there, copy.Key) : [];
        var kept = known ?? await KeptAsync(there, copy.Key, long.MaxValue);
        // One look at the original: what is added to it meanwhile is for the next page.
        var page = await from.ReadAsync(async here => await NextAsync(here, there, copy, sessions, kept), cancellation);
        await FollowSessionsAsync(there, copy, sessions, page.Sessions);
        foreach (var (table, rows) in page.Rows)
            await there.InsertAsync(table.Name, ["run_key", .. table.Columns], rows.Select(row => (object?[])[copy.Key, .. row]));
        await AddNotesAsync(there, copy, notes, page.Notes);
        await KeptRows.ForgetAsync(there, copy.Key, page.Gone);
        await there.InsertAsync(RunTables.Kept.Name, ["run_key", .. RunTables.Kept.Columns], page.Captures.Select(row => (object?[])[copy.Key, .. row]));
        var opened = page.Sessions.Count == 0 ? copy.Sessions : (long)page.Sessions[^1][0]!;
        if ((opened, page.Last, page.Failed) != (copy.Sessions, copy.Cycles, copy.FailedCycles))
        {
            await there.ExecuteAsync(
                "update run set sessions = @Sessions, cycles = @Cycles, failed_cycles = @Failed where key = @Key", new { copy.Key, Sessions = opened, Cycles = page.Last, page.Failed });
        }
        if (page.Progress.Ended && copy.EndedTicks is null)
        {
            await there.ExecuteAsync(
                "update run set ended_ticks = @Ticks, ended_offset = @Offset, verdict = @Verdict, record = @Record where key = @Key",
                new { copy.Key, Ticks = page.Ending[0], Offset = page.Ending[1], Verdict = page.Ending[2], Record = page.Ending[3] });
        }
        return page;
    }

    /// <summary>The copy as it is, which nobody changes from now on until this transaction ends; null when there is none.</summary>
    private async Task<RunState?> CopyOfAsync(StoreLink there) =>
        (await there.ValuesAsync($"update run set cycles = cycles where id = @Run returning {RunState.Columns}", new { Run = run })).SingleOrDefault() is { } row ? RunState.Of(row) : null;

    /// <summary>A transaction of its own, since it keeps all others from beginning or deleting runs.</summary>
    private async Task BeginAsync(CancellationToken cancellation)
    {
        var (heading, parts, texts) = await from.ReadAsync(
            async here =>
            {
                var original = await OriginalAsync(here);
                var parts = await RowsAsync(here, original.Key, RunTables.Part);
                var texts = await here.ValuesAsync(
                    $"""
                    select {RunTables.Text.Listed} from profile_text
                    where sha256 = (select profile_sha256 from run where key = @Key) or sha256 in (select sha256 from run_part where run_key = @Key)
                    """,
                    new { original.Key });
                return (original.Heading, parts, texts);
            },
            cancellation);
        await to.WriteAsync(
            async there =>
            {
                await ProfileRows.OneAtATimeAsync(there);
                // Another may have begun a run of this name since it was looked for.
                if (await CopyOfAsync(there) is not null)
                    return false;
                await there.InsertAsync(RunTables.Text.Name, RunTables.Text.Columns, texts, unlessThere: true);
                await there.InsertAsync(RunTables.Heading.Name, [.. RunTables.Heading.Columns, .. RunTables.Progress.Columns], [[.. heading, 0L, 0L, 0L]]);
                var key = await there.RowAsync<long>("select key from run where id = @Run", new { Run = run });
                await there.InsertAsync(RunTables.Part.Name, ["run_key", .. RunTables.Part.Columns], parts.Select(row => (object?[])[key, .. row]));
                return true;
            },
            cancellation);
    }

    /// <summary>What comes next, of the original as it is now.</summary>
    private async Task<Page> NextAsync(StoreLink here, StoreLink there, RunState copy, List<object?[]> copiedSessions, Dictionary<long, Captures> copiedKept)
    {
        var original = await OriginalAsync(here);
        var sessions = await RowsAsync(here, original.Key, [.. RunTables.Session.Columns, .. RunTables.SessionProgress.Columns]);
        Check(original, copy, sessions, copiedSessions);
        // Whether a part of a trial is counted as failed stands nowhere but in the count: they come all at once.
        var parts = await FollowingAsync(here, original.Key, RunTables.TrialPart, copy.Cycles, original.Cycles);
        var last = parts.Count > 0 ? original.Cycles : Math.Min(original.Cycles, copy.Cycles + cyclesAtOnce);
        List<(RunTable Table, List<object?[]> Rows)> rows =
        [
            (RunTables.Series, await FollowingAsync(here, original.Key, RunTables.Series, copy.Series - 1, original.Series - 1)),
            (RunTables.Roster, await FollowingAsync(here, original.Key, RunTables.Roster, copy.Rosters, original.Rosters)),
            (RunTables.TrialPart, parts),
        ];
        foreach (var table in new[] { RunTables.Cycle, RunTables.CycleChannel, RunTables.CycleCheck, RunTables.TrialValue })
            rows.Add((table, await FollowingAsync(here, original.Key, table, copy.Cycles, last)));
        var kept = await KeptAsync(here, original.Key, last);
        var captures = await CapturesAsync(here, original.Key, kept, copiedKept, []);
        var ends = (original.Sessions, original.EndedSessions, original.EndedTicks);
        // Others of the same reason and size may have taken the place of captures. They are looked for, by their hashes, when the last session has ended.
        if (last == original.Cycles && captures.All && sessions.Count > 0 && sessions[^1][_sessionEnded] is not null && _compared != ends)
            captures = await CapturesAsync(here, original.Key, kept, copiedKept, await OthersAsync(here, there, original.Key, copy.Key, kept.Count - captures.Rows.Count));
        var whole = last == original.Cycles && captures.All;
        List<long> gone = [.. copiedKept.Keys.Except(kept.Keys), .. captures.Rows.Select(row => (long)row[0]!).Where(copiedKept.ContainsKey)];
        return new(
            original, new(last, original.Cycles - last, whole, whole && original.EndedTicks is not null), rows, SessionsUpTo(sessions, rows, whole), await NotesAsync(here, original.Key), captures.Rows, gone, captures.Now,
            last, last == original.Cycles ? original.FailedCycles : copy.FailedCycles + FailedIn(rows), original.EndedTicks is null ? [] : (await here.ValuesAsync($"select {RunTables.Ending.Listed} from run where key = @Key", new { original.Key }))[0], ends);
    }

    private async Task<RunState> OriginalAsync(StoreLink here) => (await here.ValuesAsync($"select {RunState.Columns} from run where id = @Run", new { Run = run })).SingleOrDefault() is { } row
        ? RunState.Of(row)
        : throw RunStore.NoRun(from.Place, run);

    /// <exception cref="RunStorageException">The copy is none of this run, or has what the run has not.</exception>
    private void Check(RunState original, RunState copy, List<object?[]> sessions, List<object?[]> copiedSessions)
    {
        if (!original.Heading.SequenceEqual(copy.Heading))
        {
            throw new RunStorageException(
                $"The run store {to.Place} has another run of the name '{run}' than {from.Place}: it was begun at another time, or of another profile. Nothing was copied. Give each bench a name of its own; "
                + "of these two runs, delete the one that is not needed with 'testrig runs delete', in its store.");
        }
        var identity = RunTables.Session.Columns.Length;
        if (copy.Cycles > original.Cycles || (copy.EndedTicks is not null && !copy.End.SequenceEqual(original.End))
            || copiedSessions.Exists(session => !sessions.Exists(own => own.Take(identity).SequenceEqual(session.Take(identity)))))
        {
            throw new RunStorageException(string.Create(
                CultureInfo.InvariantCulture,
                $"""
                Somebody has gone on with the run '{run}' in the run store {to.Place}: it has {Words(copy)} there, and {Words(original)} in {from.Place}. Nothing was copied, and both are as they were. Delete the one that is not needed with 'testrig runs delete', in its store.
                """));
        }
    }

    private static string Words(RunState one) => string.Create(
        CultureInfo.InvariantCulture, $"{one.Cycles} cycles in {one.Sessions} sessions{(one.EndedTicks is null ? "" : " and its end")}");

    /// <summary>Sessions as they were after the last cycle that comes with this page; all of them, as they are, when it is the last page. None where no cycle comes.</summary>
    private static List<object?[]> SessionsUpTo(List<object?[]> sessions, List<(RunTable Table, List<object?[]> Rows)> rows, bool whole)
    {
        if (whole)
            return sessions;
        var cycles = rows.Single(part => part.Table == RunTables.Cycle).Rows;
        if (cycles.Count == 0)
            return [];
        long Of(string column) => (long)cycles[^1][RunTables.Cycle.Columns.IndexOf(column)]!;
        var until = Of("session");
        var begun = sessions.FindAll(session => (long)session[0]! <= until);
        begun[^1] = [.. begun[^1].Take(RunTables.Session.Columns.Length), Of("started_ticks") + Of("took_ticks"), Of("started_offset"), null, null, null];
        return begun;
    }

    private static async Task FollowSessionsAsync(StoreLink there, RunState copy, List<object?[]> copied, List<object?[]> sessions)
    {
        var identity = RunTables.Session.Columns.Length;
        await there.InsertAsync("session", ["run_key", .. RunTables.Session.Columns, .. RunTables.SessionProgress.Columns], sessions.Skip(copied.Count).Select(row => (object?[])[copy.Key, .. row]));
        foreach (var (now, before) in sessions.Zip(copied))
        {
            if (now.SequenceEqual(before))
                continue;
            var values = RunTables.SessionProgress.Columns.Zip(now.Skip(identity)).ToDictionary(pair => pair.First, pair => pair.Second);
            values["Key"] = copy.Key;
            values["Number"] = now[0];
            await there.ExecuteAsync($"update session set {string.Join(", ", RunTables.SessionProgress.Columns.Select(column => $"{column} = @{column}"))} where run_key = @Key and number = @Number", values);
        }
    }

    /// <summary>Somebody may have noted something on the copy as well: a note that it has not, word for word, comes behind those.</summary>
    private static async Task AddNotesAsync(StoreLink there, RunState copy, List<Note> copied, List<Note> notes)
    {
        var number = copy.Notes;
        var left = copied.ToList();
        foreach (var note in notes)
        {
            if (left.FindIndex(note.IsSame) is var same and >= 0)
            {
                left.RemoveAt(same);
                continue;
            }
            number++;
            await there.InsertAsync(RunTables.Note.Name, ["run_key", .. RunTables.Note.Columns], [[copy.Key, number, .. note.Values]]);
            await there.InsertAsync(RunTables.ReplacedPart.Name, ["run_key", .. RunTables.ReplacedPart.Columns], note.Replaced.Select(row => (object?[])[copy.Key, number, .. row]));
        }
    }

    /// <summary>Captures that the copy lacks, or has others of, as far as they go into a page.</summary>
    /// <param name="others">Cycles of which the copy has others, though they look the same.</param>
    /// <returns>They, what the copy has with them, and whether that is all that there is.</returns>
    private async Task<(List<object?[]> Rows, Dictionary<long, Captures> Now, bool All)> CapturesAsync(
        StoreLink here, long key, Dictionary<long, Captures> kept, Dictionary<long, Captures> copied, HashSet<long> others)
    {
        var rows = new List<object?[]>();
        var now = new Dictionary<long, Captures>();
        var bytes = 0L;
        var all = true;
        foreach (var (cycle, captures) in kept)
        {
            var there = copied.GetValueOrDefault(cycle);
            if (there == captures && !others.Contains(cycle))
            {
                now.Add(cycle, captures);
            }
            else if (bytes == 0 || bytes + captures.Bytes <= bytesAtOnce)
            {
                rows.AddRange(await here.ValuesAsync($"select {RunTables.Kept.Listed} from kept where run_key = @Key and cycle = @Cycle", new { Key = key, Cycle = cycle }));
                now.Add(cycle, captures);
                bytes += captures.Bytes;
            }
            else
            {
                all = false;
                if (there is not null)
                    now.Add(cycle, there);
            }
        }
        return (rows, now, all);
    }

    /// <summary>Cycles of which the two have different captures, by their hashes.</summary>
    /// <param name="common">How many look the same.</param>
    private static async Task<HashSet<long>> OthersAsync(StoreLink here, StoreLink there, long hereKey, long thereKey, int common)
    {
        static async Task<Dictionary<long, string>> HashesAsync(StoreLink link, long key) =>
            (await link.ValuesAsync("select cycle, sha256(captures) from kept where run_key = @Key", new { Key = key })).ToDictionary(row => (long)row[0]!, row => Convert.ToHexString((byte[])row[1]!));
        if (common == 0)
            return [];
        var (own, copied) = (await HashesAsync(here, hereKey), await HashesAsync(there, thereKey));
        return [.. own.Where(entry => copied.GetValueOrDefault(entry.Key) != entry.Value).Select(entry => entry.Key)];
    }

    /// <summary>Of those cycles that come with a page.</summary>
    private static long FailedIn(List<(RunTable Table, List<object?[]> Rows)> rows)
    {
        List<object?[]> Of(RunTable table) => rows.Single(part => part.Table == table).Rows;
        return Of(RunTables.CycleChannel)
            .Where(row => new CycleChannel("", StoredWord.Read<Condition>((string)row[RunTables.CycleChannel.Columns.IndexOf("condition")]!), null).Failed)
            .Concat(Of(RunTables.CycleCheck)).Select(row => row[0]).Distinct().LongCount();
    }

    private static async Task<Dictionary<long, Captures>> KeptAsync(StoreLink link, long key, long last) =>
        (await link.ValuesAsync("select cycle, reason, bytes from kept where run_key = @Key and cycle <= @Last order by cycle", new { Key = key, Last = last }))
        .ToDictionary(row => (long)row[0]!, row => new Captures((string)row[1]!, (long)row[2]!));

    private static async Task<List<Note>> NotesAsync(StoreLink link, long key)
    {
        var notes = await RowsAsync(link, key, RunTables.Note);
        if (notes.Count == 0)
            return [];
        var replaced = (await RowsAsync(link, key, RunTables.ReplacedPart)).ToLookup(row => (long)row[0]!, row => row[1..]);
        return notes.ConvertAll(row => new Note(row[1..], [.. replaced[(long)row[0]!]]));
    }

    /// <summary>Rows whose number is behind one, up to another, in order.</summary>
    private static Task<List<object?[]>> FollowingAsync(StoreLink here, long key, RunTable table, long after, long last) => after >= last
        ? Task.FromResult<List<object?[]>>([])
        : here.ValuesAsync(
            $"select {table.Listed} from {table.Name} where run_key = @Key and {table.Columns[0]} > @After and {table.Columns[0]} <= @Last order by {table.Columns[0]}, {table.Columns[1]}",
            new { Key = key, After = after, Last = last });

    private static Task<List<object?[]>> RowsAsync(StoreLink link, long key, RunTable table) =>
        link.ValuesAsync($"select {table.Listed} from {table.Name} where run_key = @Key order by {table.Columns[0]}, {table.Columns[1]}", new { Key = key });

    private static Task<List<object?[]>> RowsAsync(StoreLink link, long key, IEnumerable<string> ofSessions) =>
        link.ValuesAsync($"select {string.Join(", ", ofSessions)} from session where run_key = @Key order by number", new { Key = key });

    /// <param name="Reason">As stored.</param>
    private sealed record Captures(string Reason, long Bytes);

    /// <param name="Values">All but its number.</param>
    /// <param name="Replaced">Likewise, of each part.</param>
    private sealed record Note(object?[] Values, List<object?[]> Replaced)
    {
        public bool IsSame(Note other) => Values.SequenceEqual(other.Values) && Replaced.Count == other.Replaced.Count && Replaced.Zip(other.Replaced).All(pair => pair.First.SequenceEqual(pair.Second));
    }

    /// <summary>All that can be seen of a run having changed without reading it; captures that take the place of others have others' sizes, or are found by their hashes.</summary>
    private sealed record Extent(long Sessions, long EndedSessions, long Cycles, long Notes, long Kept, long Bytes);

    /// <summary>A run, in the one or the other store.</summary>
    private sealed record RunState(
        long Key, object?[] Heading, long Sessions, long Cycles, long FailedCycles, object?[] End, long EndedSessions, long Series, long Rosters, long Notes, long Kept, long Bytes)
    {
        public static string Columns { get; } =
            $"""
            key, {RunTables.Heading.Listed}, {RunTables.Progress.Listed}, ended_ticks, ended_offset, verdict,
            (select count(ended_ticks) from session where run_key = run.key), (select count(*) from series where run_key = run.key),
            (select coalesce(max(number), 0) from roster where run_key = run.key), (select count(*) from note where run_key = run.key),
            (select count(*) from kept where run_key = run.key), (select cast(coalesce(sum(bytes), 0) as bigint) from kept where run_key = run.key)
            """;

        public object? EndedTicks => End[0];

        public Extent Extent => new(Sessions, EndedSessions, Cycles, Notes, Kept, Bytes);

        public static RunState Of(object?[] row)
        {
            var heading = 1 + RunTables.Heading.Columns.Length;
            long At(int column) => (long)row[heading + column]!;
            return new((long)row[0]!, row[1..heading], At(0), At(1), At(2), row[(heading + 3)..(heading + 6)], At(6), At(7), At(8), At(9), At(10), At(11));
        }
    }

    /// <param name="Original">As it was when the page was read.</param>
    /// <param name="Sessions">As they are to be.</param>
    /// <param name="Captures">Rows to put.</param>
    /// <param name="Gone">Cycles whose captures the copy has and is not to have, or others.</param>
    /// <param name="Kept">The captures that the copy has with this page.</param>
    /// <param name="Last">The last cycle that the copy has with this page.</param>
    /// <param name="Failed">Failed cycles that the copy has with this page.</param>
    /// <param name="Ending">How the run ended; empty when it has not.</param>
    private sealed record Page(
        RunState Original, CopiedPage Progress, List<(RunTable Table, List<object?[]> Rows)> Rows, List<object?[]> Sessions, List<Note> Notes, List<object?[]> Captures, List<long> Gone,
        Dictionary<long, Captures> Kept, long Last, long Failed, object?[] Ending, (long Sessions, long Ended, object? RunEnded) Compared);
}
