using System.Globalization;
using System.Runtime.CompilerServices;
using System.Text.RegularExpressions;
using TestRig.Bench.Files;
using TestRig.Core.Boards;

namespace TestRig.Bench.Storage;

/// <summary>Runs in a database of which <see cref="StoreSchema"/> made the tables.</summary>
internal sealed partial class RunStore(StoreDatabase database) : IRunStore
{
    /// <summary>Cycles that are read at once: each page is a transaction of its own, so that reading a long run holds nothing up.</summary>
    private const int CyclesAtOnce = 256;

    public string Place => database.Place;

    /// <summary>Whether there is a run of this name: all that <see cref="FindAsync"/> would read of it is not needed for that.</summary>
    public Task<bool> HasAsync(string run, CancellationToken cancellation) => database.ReadAsync(async link => await KeyAsync(link, run) is not null, cancellation);

    public Task BeginAsync(RunHeading run, CancellationToken cancellation)
    {
        if (!IdForm().IsMatch(run.Id))
            throw new RunStorageException($"A run cannot be named '{run.Id}'. Use letters, digits, dots, dashes and underscores, 1 to 200 of them.");
        return database.WriteAsync(
            async link =>
            {
                await ProfileRows.OneAtATimeAsync(link);
                if (await KeyAsync(link, run.Id) is not null)
                    throw new RunStorageException($"The run store {Place} has a run '{run.Id}' already. Give the new run another name, or delete the old one.");
                return await RunRows.AddAsync(link, run);
            },
            cancellation);
    }

    public Task<RunSession> OpenSessionAsync(string run, SessionHeading session, CancellationToken cancellation) => database.WriteAsync(
        async link =>
        {
            var row = await link.RowAsync<RunState>(
                $"update run set sessions = sessions + 1 where id = @Run and ended_ticks is null returning {RunState.Columns}", new { Run = run }) ?? throw await RefusalAsync(link, run);
            await link.ExecuteAsync(
                """
                insert into session (run_key, number, started_ticks, started_offset, adapter, host, process_id)
                values (@Key, @Sessions, @Ticks, @Offset, @Adapter, @Host, @ProcessId)
                """,
                new
                {
                    row.Key,
                    row.Sessions,
                    Ticks = session.Started.UtcTicks,
                    Offset = StoredInstant.Offset(session.Started),
                    session.Adapter,
                    session.Host,
                    ProcessId = (long)session.ProcessId,
                });
            return new RunSession(run, (int)row.Sessions, row.Cycles);
        },
        cancellation);

    public Task<IReadOnlyDictionary<long, long>> AppendAsync(RunSession session, CycleRecord cycle, IReadOnlyDictionary<long, KeptCycle> kept, CancellationToken cancellation)
    {
        if (cycle.Figures.DistinctBy(figure => figure.Key).Count() < cycle.Figures.Length)
            throw new ArgumentException($"cycle {cycle.Number} has two figures of the same", nameof(cycle));
        if (kept.Keys.Any(number => number < 1 || number > cycle.Number))
            throw new ArgumentException($"with cycle {cycle.Number} come captures of cycles {string.Join(", ", kept.Keys)}", nameof(kept));
        var captures = Encoded(kept);
        return database.WriteAsync(
            async link =>
            {
                var run = await CountAsync(link, session, cycle.Number, cycle.Failed, cycle.Started + cycle.Took);
                await CycleRows.AddAsync(link, run, session.Number, cycle);
                return await KeepAsync(link, run, captures);
            },
            cancellation);
    }

    public Task AppendPartAsync(RunSession session, TriedPart part, bool violates, CancellationToken cancellation) => database.WriteAsync(
        async link =>
        {
            await TrialRows.AddAsync(link, await CountAsync(link, session, part.Number, violates, part.Started + part.Took), session.Number, part);
            return true;
        },
        cancellation);

    public Task<IReadOnlyDictionary<long, long>> KeepAsync(RunSession session, IReadOnlyDictionary<long, KeptCycle> kept, CancellationToken cancellation)
    {
        var captures = Encoded(kept);
        return database.WriteAsync(
            async link =>
            {
                // No cycle comes, but the same may be done, and the run is locked as well.
                var row = await link.RowAsync<RunState>(
                    $"update run set cycles = cycles where id = @Run and sessions = @Session and cycles >= @Last and ended_ticks is null returning {RunState.Columns}",
                    new { session.Run, Session = (long)session.Number, Last = kept.Keys.Max() }) ?? throw await RefusalAsync(link, session.Run, session, kept.Keys.Max());
                return await KeepAsync(link, row.Key, captures);
            },
            cancellation);
    }

    public Task<long> ForgetCapturesAsync(string run, IReadOnlyCollection<long> cycles, CancellationToken cancellation) =>
        database.WriteAsync(async link => await KeptRows.ForgetAsync(link, await ExistingAsync(link, run), cycles), cancellation);

    public Task EndSessionAsync(RunSession session, DateTimeOffset ended, string words, CancellationToken cancellation) => database.WriteAsync(
        async link => await EndAsync(link, await ExistingAsync(link, session.Run), session, ended, words), cancellation);

    public Task FinishAsync(RunSession session, DateTimeOffset ended, string verdict, string record, CancellationToken cancellation) => database.WriteAsync(
        async link =>
        {
            var row = await link.RowAsync<RunState>(
                $"""
                update run set ended_ticks = @Ticks, ended_offset = @Offset, verdict = @Verdict, record = @Record
                where id = @Run and sessions = @Session and ended_ticks is null
                returning {RunState.Columns}
                """,
                new { session.Run, Session = (long)session.Number, Ticks = ended.UtcTicks, Offset = StoredInstant.Offset(ended), Verdict = verdict, Record = record })
                ?? throw await RefusalAsync(link, session.Run, session);
            return await EndAsync(link, row.Key, session, ended, verdict);
        },
        cancellation);

    public Task AddNoteAsync(string run, RunNote note, CancellationToken cancellation) => database.WriteAsync(
        async link =>
        {
            // Who adds another at the same time waits here.
            var row = await link.RowAsync<RunState>($"update run set cycles = cycles where id = @Run returning {RunState.Columns}", new { Run = run }) ?? throw NoRun(run);
            await NoteRows.AddAsync(link, row.Key, note);
            return true;
        },
        cancellation);

    public Task<IReadOnlyList<ChannelFailures>> FailuresAsync(string run, CancellationToken cancellation) =>
        database.ReadAsync(async link => await CycleRows.FailuresAsync(link, await ExistingAsync(link, run)), cancellation);

    public Task<IReadOnlyList<StoredRun>> ListAsync(RunFilter filter, CancellationToken cancellation) => database.ReadAsync(link => RunRows.ListAsync(link, filter), cancellation);

    public Task<StoredRun?> FindAsync(string run, CancellationToken cancellation) => database.ReadAsync(link => RunRows.FindAsync(link, run), cancellation);

    public Task<string?> RecordAsync(string run, CancellationToken cancellation) =>
        database.ReadAsync(async link => await link.RowAsync<string?>("select record from run where key = @Key", new { Key = await ExistingAsync(link, run) }), cancellation);

    public async IAsyncEnumerable<CycleRecord> CyclesAsync(string run, long from, [EnumeratorCancellation] CancellationToken cancellation)
    {
        for (var next = Math.Max(from, 1); ;)
        {
            var start = next;
            var page = await database.ReadAsync(async link => await CycleRows.PageAsync(link, await ExistingAsync(link, run), start, CyclesAtOnce), cancellation);
            foreach (var cycle in page)
                yield return cycle;
            if (page.Count < CyclesAtOnce)
                yield break;
            next = page[^1].Number + 1;
        }
    }

    public Task<IReadOnlyList<TriedPart>> PartsAsync(string run, CancellationToken cancellation) =>
        database.ReadAsync(async link => await TrialRows.ReadAsync(link, await ExistingAsync(link, run)), cancellation);

    public Task<IReadOnlyList<KeptEntry>> KeptAsync(string run, CancellationToken cancellation) =>
        database.ReadAsync(async link => await KeptRows.ListAsync(link, await ExistingAsync(link, run)), cancellation);

    public async Task<KeptCycle?> ReadKeptAsync(string run, long cycle, Board board, CancellationToken cancellation)
    {
        if (await database.ReadAsync(async link => await KeptRows.ReadAsync(link, await ExistingAsync(link, run), cycle), cancellation) is not { } kept)
            return null;
        var (records, beside) = CaptureCodec.Decode(
            kept.Captures, board, string.Create(CultureInfo.InvariantCulture, $"The captures of cycle {cycle} of run '{run}' in the run store {Place}"));
        return new(kept.Reason, records, beside);
    }

    public async Task DeleteAsync(string run, CancellationToken cancellation)
    {
        await database.WriteAsync(
            async link =>
            {
                await ProfileRows.OneAtATimeAsync(link);
                if (await link.ExecuteAsync("delete from run where id = @Run", new { Run = run }) == 0)
                    throw NoRun(run);
                await ProfileRows.SweepOutAsync(link);
                return true;
            },
            cancellation);
        await database.GiveBackAsync(cancellation);
    }

    public ValueTask DisposeAsync() => database.DisposeAsync();

    public static RunStorageException NoRun(string place, string run) => new($"The run store {place} has no run '{run}'. Correct the name, or name another store with --store.");

    [GeneratedRegex(@"^[A-Za-z0-9._-]{1,200}\z")]
    private static partial Regex IdForm();

    private static Task<long?> KeyAsync(StoreLink link, string run) => link.RowAsync<long?>("select key from run where id = @Run", new { Run = run });

    private async Task<long> ExistingAsync(StoreLink link, string run) => await KeyAsync(link, run) ?? throw NoRun(run);

    /// <summary>Counts one cycle, or part, more: whether this session may append, whether the number is due, and the count are one statement, which locks the run until all of it is stored.</summary>
    /// <returns>The key of the run.</returns>
    private async Task<long> CountAsync(StoreLink link, RunSession session, long number, bool failed, DateTimeOffset end)
    {
        var row = await link.RowAsync<RunState>(
            $"""
            update run set cycles = cycles + 1, failed_cycles = failed_cycles + @Failed
            where id = @Run and sessions = @Session and cycles + 1 = @Number and ended_ticks is null
            returning {RunState.Columns}
            """,
            new { session.Run, Session = (long)session.Number, Number = number, Failed = failed ? 1L : 0L }) ?? throw await RefusalAsync(link, session.Run, session, number);
        await link.ExecuteAsync(
            "update session set last_ticks = @Ticks, last_offset = @Offset where run_key = @Key and number = @Session",
            new { row.Key, Session = (long)session.Number, Ticks = end.UtcTicks, Offset = StoredInstant.Offset(end) });
        return row.Key;
    }

    /// <summary>What takes time is done before anybody has to wait for it.</summary>
    private static List<(long Cycle, KeepReason Reason, byte[] Bytes)> Encoded(IReadOnlyDictionary<long, KeptCycle> kept) =>
        [.. kept.Select(entry => (entry.Key, entry.Value.Reason, CaptureCodec.Encode(entry.Value.Records, entry.Value.Beside)))];

    private static async Task<IReadOnlyDictionary<long, long>> KeepAsync(StoreLink link, long run, List<(long Cycle, KeepReason Reason, byte[] Bytes)> captures)
    {
        foreach (var capture in captures)
            await KeptRows.AddAsync(link, run, capture.Cycle, capture.Reason, capture.Bytes);
        return captures.ToDictionary(capture => capture.Cycle, capture => capture.Bytes.LongLength);
    }

    /// <summary>How the session ended, unless that is known already.</summary>
    private static Task<int> EndAsync(StoreLink link, long run, RunSession session, DateTimeOffset ended, string words) => link.ExecuteAsync(
        "update session set ended_ticks = @Ticks, ended_offset = @Offset, words = @Words where run_key = @Run and number = @Session and ended_ticks is null",
        new { Run = run, Session = (long)session.Number, Ticks = ended.UtcTicks, Offset = StoredInstant.Offset(ended), Words = words });

    private RunStorageException NoRun(string run) => NoRun(Place, run);

    /// <summary>Why a run was not changed.</summary>
    private async Task<RunStorageException> RefusalAsync(StoreLink link, string run, RunSession? session = null, long? number = null)
    {
        var row = await link.RowAsync<RunState>($"select {RunState.Columns} from run where id = @Run", new { Run = run });
        return row is null
            ? NoRun(run)
            : row.EndedTicks is not null
            ? new($"The run '{run}' in the run store {Place} has come to its end: nothing can be added to it. Begin a new one.")
            : session is not null && row.Sessions != session.Number
            ? new(string.Create(
                CultureInfo.InvariantCulture,
                $"Another process goes on with run '{run}' in the run store {Place}: its session {row.Sessions} was opened after session {session.Number}. Nothing was appended by this one. End one of the two."))
            : new(string.Create(
                CultureInfo.InvariantCulture, $"Number {number} of run '{run}' does not follow in the run store {Place}: number {row.Cycles + 1} is due. Nothing was appended. Resume the run, or begin a new one."));
    }

    private sealed class RunState
    {
        public const string Columns = $"key as {nameof(Key)}, sessions as {nameof(Sessions)}, cycles as {nameof(Cycles)}, ended_ticks as {nameof(EndedTicks)}";

        public long Key { get; init; }

        public long Sessions { get; init; }

        public long Cycles { get; init; }

        public long? EndedTicks { get; init; }
    }
}
