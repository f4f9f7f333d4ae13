using System.Collections.Immutable;
using System.Data.Common;
using Dapper;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Judging;

namespace TestRig.Bench.Tests.Storage;

/// <summary>What holds of a store, whichever database it is in.</summary>
public abstract class RunStoreTests : IAsyncLifetime
{
    private IRunStore? _store;

    /// <summary>Opened anew by each access to a place: what is read has been stored.</summary>
    private protected string Place { get; private set; } = "";

    private protected IRunStore Store => _store ?? throw new InvalidOperationException("The store is opened before each test.");

    public async Task InitializeAsync()
    {
        Place = await NewPlaceAsync();
        _store = await OpenAsync();
    }

    public async Task DisposeAsync()
    {
        if (_store is not null)
            await _store.DisposeAsync();
    }

    /// <summary>Where no store is yet.</summary>
    private protected abstract Task<string> NewPlaceAsync();

    private protected abstract Task<DbConnection> ConnectAsync();

    /// <summary>A statement that lists all tables of the store.</summary>
    private protected abstract string Tables { get; }

    /// <summary>From now on a row that is added to this table fails, though all before it in the transaction went well.</summary>
    private protected abstract Task BreakAsync(string table);

    private protected abstract Task MendAsync(string table);

    private protected Task<IRunStore> OpenAsync() => RunStores.OpenAsync(Place, CancellationToken.None);

    private protected async Task ExecuteAsync(string sql)
    {
        await using var connection = await ConnectAsync();
        await connection.ExecuteAsync(sql);
    }

    private protected async Task<Dictionary<string, long>> RowsAsync()
    {
        await using var connection = await ConnectAsync();
        var rows = new Dictionary<string, long>();
        foreach (var table in await connection.QueryAsync<string>(Tables))
            rows.Add(table, await connection.ExecuteScalarAsync<long>($"select count(*) from {table}"));
        return rows;
    }

    private async Task ReopenAsync()
    {
        await Store.DisposeAsync();
        _store = await OpenAsync();
    }

    private static Task<RunStorageException> RefusedAsync(Func<Task> act) => Assert.ThrowsAsync<RunStorageException>(act);

    [Fact]
    public async Task A_run_is_found_again_as_it_was_begun()
    {
        var heading = SomeRun.Heading("dome-1");
        await Store.BeginAsync(heading, CancellationToken.None);
        await ReopenAsync();
        var found = await Store.FindAsync("dome-1", CancellationToken.None);
        Assert.NotNull(found);
        Assert.Equal(SomeRun.Text(heading), SomeRun.Text(found.Heading));
        Assert.Equal((0, 0, 0, 0), (found.Cycles, found.FailedCycles, found.Sessions.Length, found.Bytes));
        Assert.Equal((null, null, null), (found.Ended, found.Verdict, await Store.RecordAsync("dome-1", CancellationToken.None)));
        Assert.Equal(SomeRun.Text(heading.Profile), SomeRun.Text((await Store.FindAsync("dome-1", CancellationToken.None))!.Heading.Profile));
        Assert.Null(await Store.FindAsync("dome-2", CancellationToken.None));
    }

    [Fact]
    public async Task Cycles_are_read_back_as_they_were_appended()
    {
        var session = await Store.BeginAsync("run");
        CycleRecord[] cycles =
        [
            SomeRun.Cycle(1),
            SomeRun.FailedCycle(2),
            SomeRun.Cycle(3) with { Channels = [], Figures = [], Checks = ["supplies: Supply 'logic' reads 3.1 V.", "idle: U3.18 is low."], Outcome = SweepOutcome.NotReady, Words = "Supply 'logic' is too low." },
            SomeRun.Cycle(4) with { Channels = [new("right", Condition.NotTested, null), new("left", Condition.Working, "as it should")] },
            SomeRun.Cycle(5) with { Figures = [new(SomeRun.Fall, long.MinValue, -5, null), new(SomeRun.Voltage, long.MaxValue, 0, 800_000)], Started = DateTimeOffset.MaxValue.ToOffset(TimeSpan.FromHours(-9)) - TimeSpan.FromDays(2) },
            SomeRun.Cycle(6) with { Figures = [.. SomeRun.Cycle(6).Figures, new(new("later", "", Expectation.Pulses, FigureKind.Rate), 0, null, null)] },
        ];
        foreach (var cycle in cycles)
            await Store.AppendAsync(session, cycle);
        await ReopenAsync();
        Assert.Equal(cycles.Select(SomeRun.Text), (await Store.CyclesAsync("run")).Select(SomeRun.Text));
        Assert.Equal(cycles.Skip(3).Select(SomeRun.Text), (await Store.CyclesAsync("run", 4)).Select(SomeRun.Text));
        Assert.Empty(await Store.CyclesAsync("run", 7));
        var found = await Store.FindAsync("run", CancellationToken.None);
        Assert.Equal((6, 2), (found!.Cycles, found.FailedCycles));
    }

    [Fact]
    public async Task Parts_of_a_trial_are_read_back_as_they_were_appended_and_counted()
    {
        var session = await Store.BeginAsync("run");
        await Store.AppendAsync(await Store.BeginAsync("other"), SomeRun.Cycle(1));
        TriedPart[] parts = [SomeRun.Part(1), SomeRun.SkippedPart(2), SomeRun.DeadPart(3)];
        foreach (var part in parts)
            await Store.AppendPartAsync(session, part, violates: part.Number == 3, CancellationToken.None);
        await ReopenAsync();
        Assert.Equal(parts.Select(SomeRun.Text), (await Store.PartsAsync("run", CancellationToken.None)).Select(SomeRun.Text));
        Assert.Empty(await Store.PartsAsync("other", CancellationToken.None));
        var found = (await Store.FindAsync("run", CancellationToken.None))!;
        Assert.Equal((3, 1, SomeRun.DeadPart(3).Started + SomeRun.DeadPart(3).Took), (found.Cycles, found.FailedCycles, found.Sessions[0].Last));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    public async Task A_part_that_does_not_follow_is_refused_and_not_counted(int number)
    {
        var session = await Store.BeginAsync("run");
        await Store.AppendPartAsync(session, SomeRun.Part(1), violates: false, CancellationToken.None);
        var refused = await RefusedAsync(() => Store.AppendPartAsync(session, SomeRun.Part(number), violates: true, CancellationToken.None));
        Assert.Contains("number 2 is due", refused.Message, StringComparison.Ordinal);
        Assert.Single(await Store.PartsAsync("run", CancellationToken.None));
        Assert.Equal(0, (await Store.FindAsync("run", CancellationToken.None))!.FailedCycles);
    }

    [Fact]
    public async Task Of_a_part_whose_values_cannot_be_stored_nothing_is()
    {
        var session = await Store.BeginAsync("run");
        await BreakAsync("trial_value");
        await RefusedAsync(() => Store.AppendPartAsync(session, SomeRun.Part(1), violates: true, CancellationToken.None));
        Assert.Empty(await Store.PartsAsync("run", CancellationToken.None));
        await MendAsync("trial_value");
        await Store.AppendPartAsync(session, SomeRun.Part(1), violates: false, CancellationToken.None);
        var found = (await Store.FindAsync("run", CancellationToken.None))!;
        Assert.Equal((1, 0), (found.Cycles, found.FailedCycles));
    }

    [Theory]
    [InlineData("update trial_value set quantity = 'Weight' where quantity = 'Leakage'", "'Weight' is no TrialQuantity")]
    [InlineData("delete from trial_value", "has no LedCurrent")]
    public async Task Parts_that_this_version_does_not_know_are_refused_in_words(string damage, string words)
    {
        await Store.AppendPartAsync(await Store.BeginAsync("run"), SomeRun.Part(1), violates: false, CancellationToken.None);
        await ExecuteAsync(damage);
        var refused = await RefusedAsync(() => Store.PartsAsync("run", CancellationToken.None));
        Assert.Contains(words, refused.Message, StringComparison.Ordinal);
        Assert.Contains(Store.Place, refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task More_cycles_than_are_read_at_once_come_in_order_and_whole()
    {
        var session = await Store.BeginAsync("run");
        for (var number = 1; number <= 600; number++)
            await Store.AppendAsync(session, number % 100 == 0 ? SomeRun.FailedCycle(number) : SomeRun.Cycle(number));
        var cycles = await Store.CyclesAsync("run");
        Assert.Equal(Enumerable.Range(1, 600).Select(number => (long)number), cycles.Select(cycle => cycle.Number));
        Assert.Equal([100, 200, 300, 400, 500, 600], cycles.Where(cycle => cycle.Failed).Select(cycle => cycle.Number));
        Assert.Equal(SomeRun.Text(SomeRun.Cycle(513)), SomeRun.Text(cycles[512]));
    }

    [Fact]
    public async Task Limits_of_a_series_stay_as_they_were_given_first()
    {
        var session = await Store.BeginAsync("run");
        await Store.AppendAsync(session, SomeRun.Cycle(1) with { Figures = [new(SomeRun.Rise, 7, 1, 9)] });
        await Store.AppendAsync(session, SomeRun.Cycle(2) with { Figures = [new(SomeRun.Rise, 8, null, 100)] });
        Assert.Equal([new CycleFigure(SomeRun.Rise, 7, 1, 9), new CycleFigure(SomeRun.Rise, 8, 1, 9)], (await Store.CyclesAsync("run")).SelectMany(cycle => cycle.Figures));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(4)]
    public async Task A_cycle_that_does_not_follow_is_refused_and_not_counted(int number)
    {
        var session = await Store.BeginAsync("run");
        await Store.AppendAsync(session, SomeRun.Cycle(1));
        await Store.AppendAsync(session, SomeRun.Cycle(2));
        var refused = await RefusedAsync(() => Store.AppendAsync(session, SomeRun.FailedCycle(number)));
        Assert.Contains("number 3 is due", refused.Message, StringComparison.Ordinal);
        Assert.Equal([SomeRun.Text(SomeRun.Cycle(1)), SomeRun.Text(SomeRun.Cycle(2))], (await Store.CyclesAsync("run")).Select(SomeRun.Text));
        Assert.Equal(0, (await Store.FindAsync("run", CancellationToken.None))!.FailedCycles);
    }

    [Fact]
    public async Task The_next_session_ends_the_one_before_and_goes_on_where_it_was()
    {
        var first = await Store.BeginAsync("run");
        await Store.AppendAsync(first, SomeRun.Cycle(1));
        await using var other = await OpenAsync();
        var second = await other.OpenSessionAsync("run", SomeRun.Session(4712), CancellationToken.None);
        Assert.Equal(new RunSession("run", 2, 1), second);
        var refused = await RefusedAsync(() => Store.AppendAsync(first, SomeRun.FailedCycle(2)));
        Assert.Contains("Another process goes on with run 'run'", refused.Message, StringComparison.Ordinal);
        Assert.Contains(Store.Place, refused.Message, StringComparison.Ordinal);
        Assert.Equal(1, Assert.Single(await Store.CyclesAsync("run")).Number);
        await other.AppendAsync(second, SomeRun.Cycle(2));
        Assert.Contains("Another process", (await RefusedAsync(() => Store.FinishAsync(first, SomeRun.Start, "done", "{}", CancellationToken.None))).Message, StringComparison.Ordinal);
        var found = await Store.FindAsync("run", CancellationToken.None);
        Assert.Equal((2, 0, null), (found!.Cycles, found.FailedCycles, found.Ended));
    }

    [Fact]
    public async Task Of_two_that_append_the_same_cycle_at_the_same_time_one_is_refused()
    {
        var session = await Store.BeginAsync("run");
        await using var other = await OpenAsync();
        var outcomes = await Task.WhenAll(new[] { Store, other }.Select(store => Task.Run(() => Record.ExceptionAsync(() => store.AppendAsync(session, SomeRun.Cycle(1))))));
        Assert.IsType<RunStorageException>(Assert.Single(outcomes, outcome => outcome is not null));
        Assert.Equal(1, Assert.Single(await Store.CyclesAsync("run")).Number);
    }

    [Fact]
    public async Task Sessions_tell_when_they_were_and_how_they_ended()
    {
        var first = await Store.BeginAsync("run");
        await Store.AppendAsync(first, SomeRun.Cycle(1));
        await Store.EndSessionAsync(first, SomeRun.Start.AddHours(1), "Cancelled.", CancellationToken.None);
        var second = await Store.OpenSessionAsync("run", new(SomeRun.Start.AddHours(2), "{}", "bench-3", 9), CancellationToken.None);
        await ReopenAsync();
        var sessions = (await Store.FindAsync("run", CancellationToken.None))!.Sessions;
        Assert.Equal(
            [
                new(1, SomeRun.Start.AddSeconds(1), SomeRun.Cycle(1).Started + SomeRun.Cycle(1).Took, SomeRun.Start.AddHours(1), "Cancelled.", """{"board":"some"}""", "bench-2", 4711),
                new StoredSession(2, SomeRun.Start.AddHours(2), null, null, null, "{}", "bench-3", 9),
            ],
            sessions.AsEnumerable());
        Assert.Equal(SomeRun.Start.Offset, sessions[0].Started.Offset);
        Assert.Equal(2, second.Number);
    }

    [Fact]
    public async Task A_run_that_came_to_its_end_has_verdict_and_record_and_takes_nothing_more()
    {
        var session = await Store.BeginAsync("run");
        await Store.AppendAsync(session, SomeRun.Cycle(1));
        await Store.FinishAsync(session, SomeRun.Start.AddDays(1), "1 of 1 cycles passed", """{"format":"x"}""", CancellationToken.None);
        var found = await Store.FindAsync("run", CancellationToken.None);
        Assert.Equal((SomeRun.Start.AddDays(1), "1 of 1 cycles passed", """{"format":"x"}"""), (found!.Ended, found.Verdict, await Store.RecordAsync("run", CancellationToken.None)));
        Assert.Equal((SomeRun.Start.AddDays(1), "1 of 1 cycles passed"), (found.Sessions[0].Ended, found.Sessions[0].Words));
        foreach (var act in (Func<Task>[])[
            () => Store.AppendAsync(session, SomeRun.Cycle(2)),
            () => Store.OpenSessionAsync("run", SomeRun.Session(), CancellationToken.None),
            () => Store.FinishAsync(session, SomeRun.Start, "again", "{}", CancellationToken.None)])
        {
            Assert.Contains("has come to its end", (await RefusedAsync(act)).Message, StringComparison.Ordinal);
        }
        Assert.Equal("1 of 1 cycles passed", (await Store.FindAsync("run", CancellationToken.None))!.Verdict);
        Assert.Single(await Store.CyclesAsync("run"));
    }

    [Fact]
    public async Task Nothing_of_an_append_that_failed_half_way_is_there_and_the_count_stays_exact()
    {
        var session = await Store.BeginAsync("run");
        await Store.AppendAsync(session, SomeRun.Cycle(1) with { Figures = [] });
        var before = await RowsAsync();
        await BreakAsync("kept");
        var kept = ImmutableDictionary<long, KeptCycle>.Empty.Add(1, new(KeepReason.First, [], []));
        await RefusedAsync(() => Store.AppendAsync(session, SomeRun.FailedCycle(2) with { Checks = ["supplies: none."] }, kept, CancellationToken.None));
        Assert.Equal(before, await RowsAsync());
        await MendAsync("kept");
        var next = await Store.OpenSessionAsync("run", SomeRun.Session(), CancellationToken.None);
        Assert.Equal(1, next.Cycles);
        await Store.AppendAsync(next, SomeRun.Cycle(2), kept, CancellationToken.None);
        Assert.Equal(SomeRun.Text(SomeRun.Cycle(2)), SomeRun.Text((await Store.CyclesAsync("run"))[1]));
        var found = await Store.FindAsync("run", CancellationToken.None);
        Assert.Equal((2, 0), (found!.Cycles, found.FailedCycles));
    }

    [Fact]
    public async Task Captures_are_kept_read_and_forgotten_and_summaries_stay()
    {
        var sweep = await SimulatedRun.SweepAsync(3, default, "OK3=dead");
        var captured = new KeptCycle(KeepReason.Failure, [.. sweep.Channels.Select(channel => channel.Record).OfType<ExerciseRecord>()], sweep.Seen);
        Assert.NotEmpty(captured.Records);
        var session = await Store.BeginAsync("run");
        await Store.AppendAsync(session, SomeRun.Cycle(1));
        var bytes = await Store.AppendAsync(
            session, SomeRun.FailedCycle(2), new Dictionary<long, KeptCycle> { [1] = captured with { Reason = KeepReason.BeforeFailure }, [2] = captured }, CancellationToken.None);
        await ReopenAsync();
        var kept = await Store.KeptAsync("run", CancellationToken.None);
        Assert.Equal([(1, KeepReason.BeforeFailure), (2, KeepReason.Failure)], kept.Select(entry => (entry.Cycle, entry.Reason)));
        Assert.Equal(bytes, kept.ToDictionary(entry => entry.Cycle, entry => entry.Bytes));
        Assert.Equal(bytes.Values.Sum(), (await Store.FindAsync("run", CancellationToken.None))!.Bytes);
        var read = await Store.ReadKeptAsync("run", 2, SimulatedRun.Dome, CancellationToken.None);
        Assert.Equal(SomeCapture.Text(captured.Records, captured.Beside), SomeCapture.Text(read!.Records, read.Beside));
        Assert.Equal(KeepReason.Failure, read.Reason);

        Assert.Equal(kept[1].Bytes, await Store.ForgetCapturesAsync("run", [2, 7], CancellationToken.None));
        Assert.Null(await Store.ReadKeptAsync("run", 2, SimulatedRun.Dome, CancellationToken.None));
        Assert.NotNull(await Store.ReadKeptAsync("run", 1, SimulatedRun.Dome, CancellationToken.None));
        Assert.Equal(2, (await Store.CyclesAsync("run")).Count);
        Assert.Equal(kept[0].Bytes, (await Store.FindAsync("run", CancellationToken.None))!.Bytes);
    }

    [Fact]
    public async Task Captures_that_are_kept_again_take_the_place_of_the_others()
    {
        var session = await Store.BeginAsync("run");
        await Store.AppendAsync(session, SomeRun.Cycle(1), new Dictionary<long, KeptCycle> { [1] = new(KeepReason.First, [], []) }, CancellationToken.None);
        await Store.AppendAsync(session, SomeRun.FailedCycle(2), new Dictionary<long, KeptCycle> { [1] = new(KeepReason.BeforeFailure, [], []) }, CancellationToken.None);
        Assert.Equal(KeepReason.BeforeFailure, Assert.Single(await Store.KeptAsync("run", CancellationToken.None)).Reason);
    }

    [Fact]
    public async Task Garbled_captures_are_refused_with_their_place_and_the_rest_is_read()
    {
        var session = await Store.BeginAsync("run");
        await Store.AppendAsync(session, SomeRun.Cycle(1), new Dictionary<long, KeptCycle> { [1] = new(KeepReason.First, [], []) }, CancellationToken.None);
        await using (var connection = await ConnectAsync())
            await connection.ExecuteAsync("update kept set captures = @Garbled", new { Garbled = new byte[] { 1, 2, 3, 4, 5, 6 } });
        var refused = await RefusedAsync(() => Store.ReadKeptAsync("run", 1, SimulatedRun.Dome, CancellationToken.None));
        Assert.Contains($"The captures of cycle 1 of run 'run' in the run store {Store.Place} are damaged", refused.Message, StringComparison.Ordinal);
        Assert.Single(await Store.CyclesAsync("run"));
    }

    [Theory]
    [InlineData("update cycle set outcome = 'Perfect'", "'Perfect' is no SweepOutcome")]
    [InlineData("delete from series", "a figure of no series")]
    public async Task A_store_with_what_this_version_does_not_know_is_refused_in_words(string damage, string words)
    {
        await Store.AppendAsync(await Store.BeginAsync("run"), SomeRun.Cycle(1));
        await ExecuteAsync(damage);
        var refused = await RefusedAsync(() => Store.CyclesAsync("run"));
        Assert.Contains(words, refused.Message, StringComparison.Ordinal);
        Assert.Contains(Store.Place, refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_deleted_run_leaves_nothing_in_any_table_and_nothing_of_another_goes()
    {
        var empty = await RowsAsync();
        Assert.Equal(0, empty.Where(table => table.Key != "store_schema").Sum(table => table.Value));
        var other = await Store.BeginAsync("other");
        await Store.AppendAsync(other, SomeRun.FailedCycle(1), new Dictionary<long, KeptCycle> { [1] = new(KeepReason.First, [], []) }, CancellationToken.None);
        await Store.AppendPartAsync(other, SomeRun.Part(2), violates: false, CancellationToken.None);
        await Store.AddNoteAsync("other", SomeRun.Note("seen"), CancellationToken.None);
        var withOther = await RowsAsync();

        await Store.BeginAsync(SomeRun.Heading("run", profile: "another text"), CancellationToken.None);
        var session = await Store.OpenSessionAsync("run", SomeRun.Session(), CancellationToken.None);
        await Store.AppendAsync(session, SomeRun.FailedCycle(1) with { Checks = ["idle: low."] }, new Dictionary<long, KeptCycle> { [1] = new(KeepReason.First, [], []) }, CancellationToken.None);
        await Store.AppendPartAsync(session, SomeRun.Part(2), violates: false, CancellationToken.None);
        await Store.AddNoteAsync("run", SomeRun.Note("seen as well"), CancellationToken.None);
        Assert.All((await RowsAsync()).Where(table => table.Key != "store_schema"), table => Assert.True(table.Value > withOther[table.Key], table.Key));
        await Store.DeleteAsync("run", CancellationToken.None);
        Assert.Equal(withOther, await RowsAsync());
        Assert.Equal("the profile's text: \u00fc\n", (await Store.FindAsync("other", CancellationToken.None))!.Heading.Profile.Text);
        await Store.DeleteAsync("other", CancellationToken.None);
        Assert.Equal(empty, await RowsAsync());
    }

    [Fact]
    public async Task Texts_that_runs_share_are_kept_once()
    {
        await Store.BeginAsync(SomeRun.Heading("one"), CancellationToken.None);
        await Store.BeginAsync(SomeRun.Heading("two"), CancellationToken.None);
        // The profile and two part types.
        Assert.Equal(3, (await RowsAsync())["profile_text"]);
    }

    [Fact]
    public async Task Runs_are_listed_from_the_latest_on_and_by_what_is_asked_for()
    {
        await Store.BeginAsync(SomeRun.Heading("monday", RunKind.Sweep, "Dome drive", SomeRun.Start), CancellationToken.None);
        // Later, though its clock shows an earlier hour.
        await Store.BeginAsync(SomeRun.Heading("later", RunKind.Soak, "Gl\u00dccksrad 7", SomeRun.Start.AddMinutes(1).ToOffset(TimeSpan.Zero)), CancellationToken.None);
        await Store.BeginAsync(SomeRun.Heading("latest", RunKind.Soak, "Carillon", SomeRun.Start.AddDays(1)), CancellationToken.None);
        var session = await Store.OpenSessionAsync("latest", SomeRun.Session(), CancellationToken.None);
        await Store.AppendAsync(session, SomeRun.FailedCycle(1));
        async Task<IEnumerable<string>> ListAsync(RunFilter filter) => (await Store.ListAsync(filter, CancellationToken.None)).Select(run => run.Heading.Id);
        Assert.Equal(["latest", "later", "monday"], await ListAsync(new()));
        Assert.Equal(["latest", "later"], await ListAsync(new(Kind: RunKind.Soak)));
        Assert.Equal(["latest"], await ListAsync(new(Failed: true)));
        Assert.Equal(["later", "monday"], await ListAsync(new(Failed: false)));
        Assert.Equal(["monday"], await ListAsync(new(Board: "DOME")));
        Assert.Equal(["later"], await ListAsync(new(Board: "gl\u00fccks")));
        Assert.Equal(["latest", "later"], await ListAsync(new(Since: SomeRun.Start.AddMinutes(1))));
        Assert.Equal(["monday"], await ListAsync(new(Until: SomeRun.Start.AddMinutes(1))));
        Assert.Equal(["later"], await ListAsync(new(Kind: RunKind.Soak, Failed: false, Since: SomeRun.Start, Until: SomeRun.Start.AddHours(1))));
        Assert.Empty(await ListAsync(new(Board: "%")));
    }

    [Fact]
    public async Task Runs_are_found_by_a_condition_that_a_channel_was_in_once()
    {
        async Task KeepAsync(string run, params Condition[][] cycles)
        {
            var session = await Store.BeginAsync(run);
            for (var number = 1; number <= cycles.Length; number++)
                await Store.AppendAsync(session, SomeRun.Cycle(number) with { Channels = [.. cycles[number - 1].Select((condition, channel) => new CycleChannel($"channel-{channel}", condition, condition == Condition.Working ? null : "so it is"))] });
        }

        async Task<IEnumerable<string>> FoundAsync(Condition condition) => (await Store.ListAsync(new(Condition: condition), CancellationToken.None)).Select(run => run.Heading.Id).Order();
        await KeepAsync("sound", [Condition.Working, Condition.Working]);
        await KeepAsync("once", [Condition.Working, Condition.Working], [Condition.Working, Condition.StuckHigh], [Condition.Working, Condition.Working]);
        await KeepAsync("never", [Condition.Dead, Condition.StuckHigh], [Condition.Dead, Condition.NotTested]);
        // Of a channel that works, too, something may have been said.
        var session = await Store.BeginAsync("told");
        await Store.AppendAsync(session, SomeRun.Cycle(1) with { Channels = [new("left", Condition.Working, "Works, as far as could be seen.")] });
        await KeepAsync("empty");
        Assert.Equal(["never", "once"], await FoundAsync(Condition.StuckHigh));
        Assert.Equal(["never"], await FoundAsync(Condition.NotTested));
        Assert.Equal(["once", "sound", "told"], await FoundAsync(Condition.Working));
        Assert.Empty(await FoundAsync(Condition.Slow));
    }

    [Fact]
    public async Task A_long_list_is_read_piece_by_piece()
    {
        for (var number = 1; number <= 7; number++)
        {
            // Two in each minute: their order is that in which they began.
            await Store.BeginAsync(SomeRun.Heading($"run-{number}", board: number % 3 == 0 ? "Carillon" : "Dome drive", started: SomeRun.Start.AddMinutes(number / 2)), CancellationToken.None);
        }
        async Task<IEnumerable<string>> ListAsync(RunFilter filter) => (await Store.ListAsync(filter, CancellationToken.None)).Select(run => run.Heading.Id);
        Assert.Equal(["run-7", "run-6", "run-5"], await ListAsync(new(Most: 3)));
        Assert.Equal(["run-4", "run-3", "run-2"], await ListAsync(new(Most: 3, Before: "run-5")));
        Assert.Equal(["run-1"], await ListAsync(new(Most: 3, Before: "run-2")));
        Assert.Equal(["run-5", "run-4", "run-2"], await ListAsync(new(Board: "dome", Most: 3, Before: "run-7")));
        Assert.Empty(await ListAsync(new(Before: "run-1")));
        Assert.Empty(await ListAsync(new(Before: "no-such-run")));
    }

    [Fact]
    public async Task Four_that_write_at_once_write_all_they_have()
    {
        const int Cycles = 25;
        await Task.WhenAll(Enumerable.Range(1, 4).Select(writer => Task.Run(async () =>
        {
            await using var store = await OpenAsync();
            var session = await store.BeginAsync($"run-{writer}");
            for (var number = 1; number <= Cycles; number++)
                await store.AppendAsync(session, SomeRun.Cycle(number), number == 1 ? new Dictionary<long, KeptCycle> { [1] = new(KeepReason.First, [], []) } : SomeRun.NothingKept, CancellationToken.None);
            await store.BeginAsync(SomeRun.Heading($"passing-{writer}", profile: $"text {writer}"), CancellationToken.None);
            await store.DeleteAsync($"passing-{writer}", CancellationToken.None);
        })));
        for (var writer = 1; writer <= 4; writer++)
            Assert.Equal(Enumerable.Range(1, Cycles).Select(number => SomeRun.Text(SomeRun.Cycle(number))), (await Store.CyclesAsync($"run-{writer}")).Select(SomeRun.Text));
        Assert.Equal(4, (await Store.ListAsync(new(), CancellationToken.None)).Count);
    }

    [Fact]
    public async Task A_new_store_that_many_open_at_once_is_made_once()
    {
        Place = await NewPlaceAsync();
        await Task.WhenAll(Enumerable.Range(1, 8).Select(opener => Task.Run(async () =>
        {
            await using var store = await OpenAsync();
            await store.BeginAsync($"run-{opener}");
        })));
        var rows = await RowsAsync();
        Assert.Equal((1, 8, 8), (rows["store_schema"], rows["run"], rows["session"]));
    }

    [Fact]
    public async Task Notes_are_read_back_in_the_order_in_which_they_were_written_also_of_a_run_that_has_ended()
    {
        var session = await Store.BeginAsync("run");
        await Store.BeginAsync("other");
        await Store.AppendAsync(session, SomeRun.Cycle(1));
        await Store.AddNoteAsync("run", SomeRun.Note("first"), CancellationToken.None);
        await Store.FinishAsync(session, SomeRun.Start, "good", "{}", CancellationToken.None);
        await Store.AddNoteAsync("run", SomeRun.Note("\u00fcber ''OK3''; drop table note") with { Replaced = [], Serial = "1984-007" }, CancellationToken.None);
        await Store.AddNoteAsync("other", SomeRun.Note("of the other"), CancellationToken.None);
        await ReopenAsync();
        var found = (await Store.FindAsync("run", CancellationToken.None))!;
        Assert.Equal(
            [SomeRun.Text(SomeRun.Note("first")), SomeRun.Text(SomeRun.Note("\u00fcber ''OK3''; drop table note") with { Replaced = [], Serial = "1984-007" })], found.Notes.Select(SomeRun.Text));
        Assert.Equal(("1984-007", 1), (found.Serial, found.Cycles));
        Assert.Equal("run", Assert.Single(await Store.ListAsync(new(Serial: "1984-007"), CancellationToken.None)).Heading.Id);
        Assert.Empty(await Store.ListAsync(new(Serial: "1984"), CancellationToken.None));
    }

    [Fact]
    public async Task A_serial_number_is_kept_with_its_run()
    {
        await Store.BeginAsync(SomeRun.Heading("run") with { Serial = "ab-1" }, CancellationToken.None);
        await ReopenAsync();
        Assert.Equal("ab-1", Assert.Single(await Store.ListAsync(new(Serial: "AB-1"), CancellationToken.None)).Serial);
    }

    [Fact]
    public async Task Notes_that_are_written_at_once_are_all_there()
    {
        await Store.BeginAsync("run");
        await Task.WhenAll(Enumerable.Range(1, 8).Select(writer => Task.Run(async () =>
        {
            await using var store = await OpenAsync();
            await store.AddNoteAsync("run", SomeRun.Note($"note {writer}"), CancellationToken.None);
        })));
        Assert.Equal(Enumerable.Range(1, 8).Select(writer => $"note {writer}"), (await Store.FindAsync("run", CancellationToken.None))!.Notes.Select(note => note.Words).Order());
    }

    [Fact]
    public async Task What_failed_is_counted_by_channel_and_condition_whatever_the_order_of_channels_in_a_cycle()
    {
        var session = await Store.BeginAsync("run");
        await Store.AppendAsync(session, SomeRun.FailedCycle(1));
        await Store.AppendAsync(session, SomeRun.Cycle(2));
        await Store.AppendAsync(session, SomeRun.FailedCycle(3) with { Channels = [new("right", Condition.Slow, "late"), new("left", Condition.NotTested, null)] });
        await Store.AppendAsync(session, SomeRun.FailedCycle(4) with { Channels = [new("right", Condition.Dead, "dead"), new("left", Condition.Weak, "weak")] });
        Assert.Equal(
            [new ChannelFailures("left", Condition.Weak, 1), new("right", Condition.Dead, 2), new("right", Condition.Slow, 1)], await Store.FailuresAsync("run", CancellationToken.None));
    }

    /// <summary>As the first version left it: without the tables and the column that came later.</summary>
    [Fact]
    public async Task A_store_of_the_first_version_is_brought_up_and_keeps_what_it_has()
    {
        await Store.AppendAsync(await Store.BeginAsync("old"), SomeRun.FailedCycle(1));
        await Store.DisposeAsync();
        foreach (var step in (string[])["drop table trial_value", "drop table trial_part", "drop table replaced_part", "drop table note", "alter table run drop column serial", "update store_schema set version = 1"])
            await ExecuteAsync(step);
        _store = await OpenAsync();
        Assert.Equal([SomeRun.Text(SomeRun.FailedCycle(1))], (await Store.CyclesAsync("old")).Select(SomeRun.Text));
        Assert.Null((await Store.FindAsync("old", CancellationToken.None))!.Serial);
        await Store.AddNoteAsync("old", SomeRun.Note("seen"), CancellationToken.None);
        Assert.Single((await Store.FindAsync("old", CancellationToken.None))!.Notes);
    }

    /// <summary>As the second version left it: it knew no trials.</summary>
    [Fact]
    public async Task A_store_of_the_second_version_is_brought_up_and_keeps_what_it_has()
    {
        await Store.AppendAsync(await Store.BeginAsync("old"), SomeRun.FailedCycle(1));
        await Store.AddNoteAsync("old", SomeRun.Note("seen"), CancellationToken.None);
        await Store.DisposeAsync();
        foreach (var step in (string[])["drop table trial_value", "drop table trial_part", "update store_schema set version = 2"])
            await ExecuteAsync(step);
        _store = await OpenAsync();
        Assert.Equal([SomeRun.Text(SomeRun.FailedCycle(1))], (await Store.CyclesAsync("old")).Select(SomeRun.Text));
        Assert.Single((await Store.FindAsync("old", CancellationToken.None))!.Notes);
        await Store.AppendPartAsync(await Store.BeginAsync("new"), SomeRun.Part(1), violates: false, CancellationToken.None);
        Assert.Equal([SomeRun.Text(SomeRun.Part(1))], (await Store.PartsAsync("new", CancellationToken.None)).Select(SomeRun.Text));
    }

    [Fact]
    public async Task A_store_of_a_newer_version_is_refused()
    {
        await ExecuteAsync("update store_schema set version = 1000");
        var refused = await RefusedAsync(OpenAsync);
        Assert.Contains($"The run store {Store.Place} was written by a newer testrig", refused.Message, StringComparison.Ordinal);
        Assert.Contains("Update testrig. Name another store with --store", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_run_that_is_not_there_is_named_with_the_store()
    {
        var session = new RunSession("none", 1, 0);
        foreach (var act in (Func<Task>[])[
            () => Store.OpenSessionAsync("none", SomeRun.Session(), CancellationToken.None),
            () => Store.AppendAsync(session, SomeRun.Cycle(1)),
            () => Store.AppendPartAsync(session, SomeRun.Part(1), violates: false, CancellationToken.None),
            () => Store.PartsAsync("none", CancellationToken.None),
            () => Store.ForgetCapturesAsync("none", [1], CancellationToken.None),
            () => Store.EndSessionAsync(session, SomeRun.Start, "", CancellationToken.None),
            () => Store.FinishAsync(session, SomeRun.Start, "", "", CancellationToken.None),
            () => Store.CyclesAsync("none"),
            () => Store.KeptAsync("none", CancellationToken.None),
            () => Store.RecordAsync("none", CancellationToken.None),
            () => Store.ReadKeptAsync("none", 1, SimulatedRun.Dome, CancellationToken.None),
            () => Store.AddNoteAsync("none", SomeRun.Note("seen"), CancellationToken.None),
            () => Store.FailuresAsync("none", CancellationToken.None),
            () => Store.DeleteAsync("none", CancellationToken.None)])
        {
            Assert.Contains($"The run store {Store.Place} has no run 'none'", (await RefusedAsync(act)).Message, StringComparison.Ordinal);
        }
    }

    [Theory]
    [InlineData("")]
    [InlineData("two words")]
    [InlineData("../run")]
    [InlineData("run\n")]
    public async Task A_name_that_people_cannot_call_a_run_by_is_refused(string id)
    {
        Assert.Contains("letters, digits, dots, dashes and underscores", (await RefusedAsync(() => Store.BeginAsync(SomeRun.Heading(id), CancellationToken.None))).Message, StringComparison.Ordinal);
        Assert.Empty(await Store.ListAsync(new(), CancellationToken.None));
    }

    [Fact]
    public async Task A_second_run_of_the_same_name_is_refused_and_the_first_stays()
    {
        await Store.BeginAsync(SomeRun.Heading("run"), CancellationToken.None);
        var refused = await RefusedAsync(() => Store.BeginAsync(SomeRun.Heading("run", board: "Other", profile: "other"), CancellationToken.None));
        Assert.Contains("has a run 'run' already", refused.Message, StringComparison.Ordinal);
        Assert.Equal("Dome drive", Assert.Single(await Store.ListAsync(new(), CancellationToken.None)).Heading.Board);
        Assert.Equal(3, (await RowsAsync())["profile_text"]);
    }

    [Fact]
    public async Task A_mistake_of_the_program_itself_is_thrown_before_anything_is_stored()
    {
        var session = await Store.BeginAsync("run");
        var twice = SomeRun.Cycle(1) with { Figures = [new(SomeRun.Rise, 1, null, null), new(SomeRun.Rise, 2, null, null)] };
        await Assert.ThrowsAsync<ArgumentException>(() => Store.AppendAsync(session, twice));
        await Assert.ThrowsAsync<ArgumentException>(() => Store.AppendAsync(session, SomeRun.Cycle(1), new Dictionary<long, KeptCycle> { [0] = new(KeepReason.First, [], []) }, CancellationToken.None));
        await Assert.ThrowsAsync<ArgumentException>(() => Store.AppendAsync(session, SomeRun.Cycle(1), new Dictionary<long, KeptCycle> { [2] = new(KeepReason.First, [], []) }, CancellationToken.None));
        Assert.Empty(await Store.CyclesAsync("run"));
    }
}
