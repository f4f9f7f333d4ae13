using System.Text.Json;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Serving;

/// <summary>
/// What a service remembers: tokens, and jobs. What a method has returned from is durable. Every method throws <see cref="RunStorageException"/> when the file cannot be read or written; nothing is half written then.
/// </summary>
public sealed class ServiceState : IAsyncDisposable
{
    /// <summary>Jobs of a bench that wait for their turn: more, and somebody has made a mistake.</summary>
    public const int MostWaiting = 20;

    private readonly StateDatabase _database;

    private ServiceState(StateDatabase database) => _database = database;

    /// <param name="folder">Made when it is not there, for the user that the service runs as and nobody else.</param>
    public static async Task<ServiceState> OpenAsync(string folder, CancellationToken cancellation)
    {
        OwnFolder.Make(folder);
        var database = new StateDatabase(Path.Combine(folder, "service.db"));
        try
        {
            await StateDatabase.Schema.BringUpAsync(database, cancellation);
            return new(database);
        }
        catch
        {
            await database.DisposeAsync();
            throw;
        }
    }

    /// <returns>False where there is one of this name, revoked or not: names are not used twice.</returns>
    public Task<bool> AddAsync(AccessToken token, CancellationToken cancellation) => _database.WriteAsync(
        async link => await link.ExecuteAsync(
            """
            insert into token (name, rights, hash, created_ticks, created_offset, expires_ticks, expires_offset)
            values (@Name, @Rights, @Hash, @Created, @CreatedOffset, @Expires, @ExpiresOffset)
            on conflict (name) do nothing
            """,
            new
            {
                token.Name,
                Rights = token.Rights.ToString(),
                Hash = token.Hash.ToArray(),
                Created = token.Created.UtcTicks,
                CreatedOffset = StoredInstant.Offset(token.Created),
                Expires = token.Expires?.UtcTicks,
                ExpiresOffset = token.Expires is { } expires ? StoredInstant.Offset(expires) : (long?)null,
            }) > 0,
        cancellation);

    /// <summary>All, the first one first, revoked and expired ones too.</summary>
    public Task<IReadOnlyList<AccessToken>> TokensAsync(CancellationToken cancellation) => _database.ReadAsync<IReadOnlyList<AccessToken>>(
        async link => [.. (await link.RowsAsync<TokenRow>($"select {TokenRow.Columns} from token order by created_ticks, name")).Select(row => row.Token)], cancellation);

    /// <summary>The token of which somebody presents the secret; null where there is none, or it is not valid then.</summary>
    public Task<AccessToken?> FindAsync(string secret, DateTimeOffset now, CancellationToken cancellation)
    {
        var hash = AccessToken.HashOf(secret);
        return _database.ReadAsync(
            async link => await link.RowAsync<TokenRow>($"select {TokenRow.Columns} from token where hash = @Hash", new { Hash = hash }) is { Token: var token } && token.IsOf(hash) && token.IsValid(now) ? token : null, cancellation);
    }

    /// <summary>The token of this name; null where there is none, or it is not valid then.</summary>
    public Task<AccessToken?> FindNamedAsync(string name, DateTimeOffset now, CancellationToken cancellation) => _database.ReadAsync(
        async link => await link.RowAsync<TokenRow>($"select {TokenRow.Columns} from token where name = @Name", new { Name = name }) is { Token: var token } && token.IsValid(now) ? token : null, cancellation);

    /// <returns>False where there is none of this name. One that was revoked before stays so, since then.</returns>
    public Task<bool> RevokeAsync(string name, DateTimeOffset at, CancellationToken cancellation) => _database.WriteAsync(
        async link => await link.ExecuteAsync(
            "update token set revoked_ticks = coalesce(revoked_ticks, @Ticks), revoked_offset = coalesce(revoked_offset, @Offset) where name = @Name",
            new { Name = name, Ticks = at.UtcTicks, Offset = StoredInstant.Offset(at) }) > 0,
        cancellation);

    /// <summary>Puts a wish into the queue of its bench, once: the same wish again, after a lost answer or a second click, is the job that it became.</summary>
    /// <param name="wish">By which it is known; whoever asks chooses it.</param>
    /// <param name="refusal">Why it is not begun, for the record; null where it may be.</param>
    public Task<JobAsked> AskAsync(string wish, string bench, JobRequest request, string by, DateTimeOffset asked, DateTimeOffset? armedAt, string? refusal, CancellationToken cancellation)
    {
        return _database.WriteAsync(
            async link =>
            {
                if (await FindWishAsync(link, wish, bench, request) is { } known)
                    return known;
                if (refusal is null && await link.RowAsync<long>("select count(*) from job where bench = @Bench and state = @Waiting", new { Bench = bench, Waiting = nameof(JobState.Waiting) }) >= MostWaiting)
                    return new(AskOutcome.QueueFull, null);
                var row = await link.RowAsync<JobRow>(
                    $"""
                    insert into job (wish, bench, request, author, asked_ticks, asked_offset, armed_ticks, armed_offset, state, ended_ticks, ended_offset, words)
                    values (@Wish, @Bench, @Request, @By, @Asked, @AskedOffset, @Armed, @ArmedOffset, @State, @Ended, @EndedOffset, @Words)
                    returning {JobRow.Columns}
                    """,
                    new
                    {
                        Wish = wish,
                        Bench = bench,
                        Request = Written(request),
                        By = by,
                        Asked = asked.UtcTicks,
                        AskedOffset = StoredInstant.Offset(asked),
                        Armed = armedAt?.UtcTicks,
                        ArmedOffset = armedAt is { } armed ? StoredInstant.Offset(armed) : (long?)null,
                        State = (refusal is null ? JobState.Waiting : JobState.Refused).ToString(),
                        Ended = refusal is null ? (long?)null : asked.UtcTicks,
                        EndedOffset = refusal is null ? (long?)null : StoredInstant.Offset(asked),
                        Words = refusal,
                    });
                return new(AskOutcome.New, row!.Job);
            },
            cancellation);
    }

    /// <summary>What became of a wish that was sent before, however little may be asked for now; null where this key is new.</summary>
    public Task<JobAsked?> FindWishAsync(string wish, string bench, JobRequest request, CancellationToken cancellation) => _database.ReadAsync(link => FindWishAsync(link, wish, bench, request), cancellation);

    private static async Task<JobAsked?> FindWishAsync(StoreLink link, string wish, string bench, JobRequest request) =>
        await link.RowAsync<JobRow>($"select {JobRow.Columns} from job where wish = @Wish", new { Wish = wish }) is { Job: var known }
            ? new(known.Bench == bench && Written(known.Request) == Written(request) ? AskOutcome.Known : AskOutcome.KeyTaken, known)
            : null;

    private static string Written(JobRequest request) => JsonSerializer.Serialize(request, RecordJson.Options);

    /// <summary>What a bench has to do next: a job that was interrupted before those that wait, then in the order in which they were asked for. Null where there is nothing.</summary>
    public Task<Job?> NextAsync(string bench, CancellationToken cancellation) => _database.ReadAsync(
        async link => (await link.RowAsync<JobRow>(
            $"select {JobRow.Columns} from job where bench = @Bench and state in (@Interrupted, @Waiting) order by state = @Waiting, id limit 1",
            new { Bench = bench, Interrupted = nameof(JobState.Interrupted), Waiting = nameof(JobState.Waiting) }))?.Job,
        cancellation);

    /// <summary>What ran when the service ended, however it did, or when its end could not be written: called before anything is begun.</summary>
    /// <param name="bench">Null for all.</param>
    /// <returns>How many there were.</returns>
    public Task<int> InterruptRunningAsync(string? bench, CancellationToken cancellation) => _database.WriteAsync(
        link => link.ExecuteAsync(
            "update job set state = @Interrupted where state = @Running and (@Bench is null or bench = @Bench)", new { Interrupted = nameof(JobState.Interrupted), Running = nameof(JobState.Running), Bench = bench }),
        cancellation);

    /// <returns>False where it does not wait any more: somebody stopped it meanwhile.</returns>
    public Task<bool> BeginAsync(long job, DateTimeOffset begun, CancellationToken cancellation) => _database.WriteAsync(
        async link => await link.ExecuteAsync(
            "update job set state = @Running, begun_ticks = coalesce(begun_ticks, @Ticks), begun_offset = coalesce(begun_offset, @Offset) where id = @Job and state in (@Interrupted, @Waiting)",
            new { Job = job, Running = nameof(JobState.Running), Ticks = begun.UtcTicks, Offset = StoredInstant.Offset(begun), Interrupted = nameof(JobState.Interrupted), Waiting = nameof(JobState.Waiting) }) > 0,
        cancellation);

    /// <summary>Which run it is, before the run is begun: what is resumed later is known by it.</summary>
    public Task NameRunAsync(long job, string run, CancellationToken cancellation) =>
        _database.WriteAsync(link => link.ExecuteAsync("update job set run = @Run where id = @Job", new { Job = job, Run = run }), cancellation);

    /// <summary>Of a job that runs.</summary>
    /// <param name="state">What became of it; <see cref="JobState.Interrupted"/> where it goes on with the next start of the service.</param>
    public Task EndAsync(long job, JobState state, string words, DateTimeOffset ended, CancellationToken cancellation) => EndAsync(job, [JobState.Running], state, words, ended, cancellation);

    /// <summary>Of a job that has not begun, or was interrupted.</summary>
    /// <returns>False where it had its turn meanwhile, or is over.</returns>
    public Task<bool> WithdrawAsync(long job, JobState state, string words, DateTimeOffset ended, CancellationToken cancellation) =>
        EndAsync(job, [JobState.Waiting, JobState.Interrupted], state, words, ended, cancellation);

    private Task<bool> EndAsync(long job, JobState[] from, JobState state, string words, DateTimeOffset ended, CancellationToken cancellation) => _database.WriteAsync(
        async link => await link.ExecuteAsync(
            "update job set state = @State, words = @Words, ended_ticks = @Ticks, ended_offset = @Offset where id = @Job and state in @From",
            new
            {
                Job = job,
                State = state.ToString(),
                Words = words,
                Ticks = state == JobState.Interrupted ? (long?)null : ended.UtcTicks,
                Offset = state == JobState.Interrupted ? (long?)null : StoredInstant.Offset(ended),
                From = from.Select(each => each.ToString()).ToArray(),
            }) > 0,
        cancellation);

    /// <summary>The latest first.</summary>
    /// <param name="bench">Null for all.</param>
    /// <param name="before">Only jobs with a smaller number; null for all.</param>
    public Task<IReadOnlyList<Job>> JobsAsync(string? bench, long? before, int most, CancellationToken cancellation) => _database.ReadAsync<IReadOnlyList<Job>>(
        async link => [.. (await link.RowsAsync<JobRow>(
            $"select {JobRow.Columns} from job where (@Bench is null or bench = @Bench) and (@Before is null or id < @Before) order by id desc limit @Most", new { Bench = bench, Before = before, Most = (long)most }))
            .Select(row => row.Job)],
        cancellation);

    /// <summary>Those that run, wait or were interrupted, in the order in which they were asked for.</summary>
    public Task<IReadOnlyList<Job>> OpenJobsAsync(string bench, CancellationToken cancellation) => _database.ReadAsync<IReadOnlyList<Job>>(
        async link => [.. (await link.RowsAsync<JobRow>(
            $"select {JobRow.Columns} from job where bench = @Bench and state in @Open order by id",
            new { Bench = bench, Open = new[] { nameof(JobState.Running), nameof(JobState.Interrupted), nameof(JobState.Waiting) } })).Select(row => row.Job)],
        cancellation);

    public Task<Job?> FindJobAsync(long job, CancellationToken cancellation) =>
        _database.ReadAsync(async link => (await link.RowAsync<JobRow>($"select {JobRow.Columns} from job where id = @Job", new { Job = job }))?.Job, cancellation);

    public ValueTask DisposeAsync() => _database.DisposeAsync();

    private sealed class TokenRow
    {
        public const string Columns =
            $"""
            name as {nameof(Name)}, rights as {nameof(Rights)}, hash as {nameof(Hash)}, created_ticks as {nameof(CreatedTicks)}, created_offset as {nameof(CreatedOffset)},
            expires_ticks as {nameof(ExpiresTicks)}, expires_offset as {nameof(ExpiresOffset)}, revoked_ticks as {nameof(RevokedTicks)}, revoked_offset as {nameof(RevokedOffset)}
            """;

        public string Name { get; init; } = "";

        public string Rights { get; init; } = "";

        public byte[] Hash { get; init; } = [];

        public long CreatedTicks { get; init; }

        public long CreatedOffset { get; init; }

        public long? ExpiresTicks { get; init; }

        public long? ExpiresOffset { get; init; }

        public long? RevokedTicks { get; init; }

        public long? RevokedOffset { get; init; }

        public AccessToken Token => new(
            Name, StoredWord.Read<AccessRights>(Rights), Hash, StoredInstant.Of(CreatedTicks, CreatedOffset), StoredInstant.Of(ExpiresTicks, ExpiresOffset), StoredInstant.Of(RevokedTicks, RevokedOffset));
    }

    private sealed class JobRow
    {
        public const string Columns =
            $"""
            id as {nameof(Id)}, bench as {nameof(Bench)}, request as {nameof(Request)}, author as {nameof(Author)}, asked_ticks as {nameof(AskedTicks)}, asked_offset as {nameof(AskedOffset)},
            armed_ticks as {nameof(ArmedTicks)}, armed_offset as {nameof(ArmedOffset)}, state as {nameof(State)}, run as {nameof(Run)}, begun_ticks as {nameof(BegunTicks)}, begun_offset as {nameof(BegunOffset)},
            ended_ticks as {nameof(EndedTicks)}, ended_offset as {nameof(EndedOffset)}, words as {nameof(Words)}
            """;

        public long Id { get; init; }

        public string Bench { get; init; } = "";

        public string Request { get; init; } = "";

        public string Author { get; init; } = "";

        public long AskedTicks { get; init; }

        public long AskedOffset { get; init; }

        public long? ArmedTicks { get; init; }

        public long? ArmedOffset { get; init; }

        public string State { get; init; } = "";

        public string? Run { get; init; }

        public long? BegunTicks { get; init; }

        public long? BegunOffset { get; init; }

        public long? EndedTicks { get; init; }

        public long? EndedOffset { get; init; }

        public string? Words { get; init; }

        public Job Job => new(
            Id, Bench, RequestOf(Request), Author, StoredInstant.Of(AskedTicks, AskedOffset), StoredInstant.Of(ArmedTicks, ArmedOffset), StoredWord.Read<JobState>(State), Run,
            StoredInstant.Of(BegunTicks, BegunOffset), StoredInstant.Of(EndedTicks, EndedOffset), Words);

        private static JobRequest RequestOf(string text)
        {
            try
            {
                return JsonSerializer.Deserialize<JobRequest>(text, RecordJson.Options) ?? throw new InvalidDataException("a job asks for nothing");
            }
            catch (JsonException unreadable)
            {
                throw new InvalidDataException($"a job cannot be read ({unreadable.Message})", unreadable);
            }
        }
    }
}
