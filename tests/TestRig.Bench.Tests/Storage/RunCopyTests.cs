using TestRig.Bench.Files;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Simulation;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Storage;

/// <summary>What holds of a copy, whichever database it is made in. The original is in a file.</summary>
public abstract class RunCopyTests : IAsyncLifetime
{
    private static readonly Dictionary<long, KeptCycle> _nothing = [];

    private readonly string _file = Path.Combine(TestFolders.CreateInMemory().FullName, "local.db");

    private StoreDatabase From { get; set; } = null!;

    private TroubledDatabase To { get; set; } = null!;

    private IRunStore Original { get; set; } = null!;

    private IRunStore Copied { get; set; } = null!;

    public async Task InitializeAsync()
    {
        From = new SqliteDatabase(_file);
        Original = await RunStores.OpenInAsync(From, CancellationToken.None);
        To = new(await NewDatabaseAsync());
        Copied = await RunStores.OpenInAsync(To, CancellationToken.None);
    }

    public async Task DisposeAsync()
    {
        await From.DisposeAsync();
        await To.DisposeAsync();
    }

    /// <summary>A database without a store.</summary>
    private protected abstract Task<StoreDatabase> NewDatabaseAsync();

    private RunCopy Copy(string run = "run") => new(From, To, run, cyclesAtOnce: 3, bytesAtOnce: 500);

    private static KeptCycle Captures(int seed, KeepReason reason = KeepReason.Failure)
    {
        var some = new SomeCapture(SimulatedRun.Dome, seed);
        return new(reason, some.Records(), some.Beside());
    }

    /// <summary>With a row in every table, in three sessions and more than one page, come to its end.</summary>
    private async Task<RunSession> WholeRunAsync()
    {
        var first = await Original.BeginAsync("run");
        await Original.AppendAsync(first, SomeRun.Cycle(1), new Dictionary<long, KeptCycle> { [1] = Captures(1, KeepReason.First) }, CancellationToken.None);
        for (var number = 2; number <= 5; number++)
            await Original.AppendAsync(first, SomeRun.Cycle(number));
        await Original.AppendAsync(first, SomeRun.FailedCycle(6), new Dictionary<long, KeptCycle> { [5] = Captures(5, KeepReason.BeforeFailure), [6] = Captures(6) }, CancellationToken.None);
        // Nobody was left to say how the first session ended.
        var second = await Original.OpenSessionAsync("run", SomeRun.Session(4712), CancellationToken.None);
        await Original.EndSessionAsync(second, SomeRun.Start.AddHours(1), "Cancelled.", CancellationToken.None);
        await Original.AddNoteAsync("run", SomeRun.Note("looked at it") with { Serial = "1984-007" }, CancellationToken.None);
        var third = await Original.OpenSessionAsync("run", SomeRun.Session(4713), CancellationToken.None);
        await Original.AppendAsync(third, SomeRun.Cycle(7) with { Checks = ["supplies: low.", "idle: high."], Figures = [new(new("later", "", Core.Judging.Expectation.Pulses, FigureKind.Rate), 0, null, null)] });
        await Original.AppendAsync(third, SomeRun.Cycle(8) with { Channels = [new("right", Core.Judging.Condition.NotTested, null), new("left", Core.Judging.Condition.Working, "as it should")] });
        await Original.AppendPartAsync(third, SomeRun.Part(9), violates: true, CancellationToken.None);
        await Original.AppendAsync(third, SomeRun.Cycle(10));
        await Original.FinishAsync(third, SomeRun.Start.AddDays(1), "1 of 9 cycles failed", """{"format":"x"}""", CancellationToken.None);
        return third;
    }

    [Fact]
    public async Task A_copy_has_every_row_of_every_table_as_the_original()
    {
        await WholeRunAsync();
        await Copy().CopyAsync(CancellationToken.None);
        Assert.All(await StoreRows.ReadAsync(From), table => Assert.NotEmpty(table.Value));
        await StoreRows.AreSameAsync(From, To);
    }

    [Fact]
    public async Task A_copy_reads_as_the_original_does()
    {
        await WholeRunAsync();
        await Copy().CopyAsync(CancellationToken.None);
        Assert.Equal(SomeRun.Text(await Original.FindAsync("run", CancellationToken.None)), SomeRun.Text(await Copied.FindAsync("run", CancellationToken.None)));
        Assert.Equal("1 of 9 cycles failed", (await Copied.FindAsync("run", CancellationToken.None))!.Verdict);
        var cycles = await Copied.CyclesAsync("run");
        Assert.Equal([1, 2, 3, 4, 5, 6, 7, 8, 10], cycles.Select(cycle => cycle.Number));
        Assert.Equal((await Original.CyclesAsync("run")).Select(SomeRun.Text), cycles.Select(SomeRun.Text));
        Assert.Equal(SomeRun.Text(SomeRun.FailedCycle(6)), SomeRun.Text(cycles[5]));
        Assert.Equal([SomeRun.Text(SomeRun.Part(9))], (await Copied.PartsAsync("run", CancellationToken.None)).Select(SomeRun.Text));
        Assert.Equal("""{"format":"x"}""", await Copied.RecordAsync("run", CancellationToken.None));
        Assert.Equal(await Original.FailuresAsync("run", CancellationToken.None), await Copied.FailuresAsync("run", CancellationToken.None));
        var read = (await Copied.ReadKeptAsync("run", 6, SimulatedRun.Dome, CancellationToken.None))!;
        Assert.Equal(SomeCapture.Text(Captures(6).Records, Captures(6).Beside), SomeCapture.Text(read.Records, read.Beside));
        Assert.Equal([(1, KeepReason.First), (5, KeepReason.BeforeFailure), (6, KeepReason.Failure)], (await Copied.KeptAsync("run", CancellationToken.None)).Select(entry => (entry.Cycle, entry.Reason)));
    }

    [Fact]
    public async Task After_each_page_the_copy_is_the_run_as_it_was_after_one_of_its_cycles()
    {
        var session = await Original.BeginAsync("other");
        for (var number = 1; number <= 7; number++)
            await Original.AppendAsync(session, number is 2 or 5 ? SomeRun.FailedCycle(number) : SomeRun.Cycle(number));
        await Original.EndSessionAsync(session, SomeRun.Start.AddDays(1), "Cancelled.", CancellationToken.None);
        var copy = Copy("other");
        foreach (var (cycles, failed, whole) in ((long, long, bool)[])[(3, 1, false), (6, 2, false), (7, 2, true), (7, 2, true)])
        {
            Assert.Equal(new(cycles, 7 - cycles, whole, Ended: false), await copy.PageAsync(CancellationToken.None));
            var there = (await Copied.FindAsync("other", CancellationToken.None))!;
            Assert.Equal((cycles, failed), (there.Cycles, there.FailedCycles));
            var last = SomeRun.Cycle(cycles);
            Assert.Equal((last.Started + last.Took, whole ? "Cancelled." : null), (there.Sessions[0].Last, there.Sessions[0].Words));
        }
    }

    [Fact]
    public async Task Parts_of_a_trial_come_at_once_since_only_their_sum_tells_how_many_failed()
    {
        var session = await Original.BeginAsync("run");
        for (var number = 1; number <= 10; number++)
            await Original.AppendPartAsync(session, SomeRun.Part(number), violates: number == 7, CancellationToken.None);
        Assert.Equal(new(10, 0, Whole: true, Ended: false), await Copy().PageAsync(CancellationToken.None));
        await StoreRows.AreSameAsync(From, To);
    }

    /// <summary>Whatever is sent or not, done or not heard of: what comes after finds out and goes on.</summary>
    [Fact]
    public async Task Ended_at_any_statement_in_any_way_the_copy_goes_on_and_has_everything_once()
    {
        await WholeRunAsync();
        await Copy().CopyAsync(CancellationToken.None);
        var statements = To.Statements;
        Assert.True(statements > 20);
        foreach (var trouble in Enum.GetValues<Trouble>())
        {
            var caught = 0;
            for (var at = 1L; at < statements; at++)
            {
                // The store as after being opened: cheaper than a new one.
                if ((await Copied.ListAsync(new(), CancellationToken.None)).Count > 0)
                    await Copied.DeleteAsync("run", CancellationToken.None);
                using var cancelled = new CancellationTokenSource();
                To.WantTrouble(trouble, at, cancelled);
                var copy = Copy();
                var failed = await Record.ExceptionAsync(() => copy.CopyAsync(cancelled.Token));
                caught += failed is null ? 0 : 1;
                To.WantNoTrouble();
                // Every other time it is another process that goes on.
                await (at % 2 == 0 ? copy : Copy()).CopyAsync(CancellationToken.None);
                await StoreRows.AreSameAsync(From, To);
            }
            Assert.True(caught > 10, $"{trouble}: {caught}");
        }
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(6)]
    public async Task A_run_that_goes_on_while_it_is_copied_over_a_bad_connection_arrives_whole(int seed)
    {
        var random = new Random(seed);
        var session = await Original.BeginAsync("run");
        var cycles = 0;
        var copy = Copy();
        for (var step = 0; step < 120; step++)
        {
            switch (random.Next(12))
            {
                case < 5:
                    cycles++;
                    await Original.AppendAsync(session, random.Next(4) == 0 ? SomeRun.FailedCycle(cycles) : SomeRun.Cycle(cycles), random.Next(2) == 0 ? _nothing : Kept(), CancellationToken.None);
                    break;
                case 5 when cycles > 0:
                    await Original.KeepAsync(session, Kept(), CancellationToken.None);
                    break;
                case 6 when cycles > 0:
                    await Original.ForgetCapturesAsync("run", [.. Enumerable.Range(0, 3).Select(_ => (long)random.Next(1, cycles + 1))], CancellationToken.None);
                    break;
                case 7:
                    await Original.AddNoteAsync("run", SomeRun.Note($"note of step {step}"), CancellationToken.None);
                    break;
                case 8 when random.Next(3) == 0:
                    if (random.Next(2) == 0)
                        await Original.EndSessionAsync(session, SomeRun.Start.AddHours(step), $"Cancelled in step {step}.", CancellationToken.None);
                    session = await Original.OpenSessionAsync("run", SomeRun.Session(step), CancellationToken.None);
                    break;
                case 9:
                    copy = Copy();
                    break;
                default:
                    using (var cancelled = new CancellationTokenSource())
                    {
                        To.WantTrouble((Trouble)random.Next(3), random.Next(1, 30), cancelled);
                        var failed = await Record.ExceptionAsync(() => copy.PageAsync(cancelled.Token));
                        Assert.True(failed is null or RunStorageException or OperationCanceledException, failed?.ToString());
                        To.WantNoTrouble();
                    }
                    var there = await Copied.FindAsync("run", CancellationToken.None) is { } begun ? (await Copied.CyclesAsync("run")).Select(SomeRun.Text).ToList() : [];
                    Assert.Equal((await Original.CyclesAsync("run")).Take(there.Count).Select(SomeRun.Text), there);
                    break;
            }
        }
        await Original.FinishAsync(session, SomeRun.Start.AddDays(9), "done", "{}", CancellationToken.None);
        await copy.CopyAsync(CancellationToken.None);
        Assert.True(cycles > 20);
        await StoreRows.AreSameAsync(From, To);
        Assert.True(await copy.DeleteOriginalAsync(CancellationToken.None));
        Assert.Empty(await Original.ListAsync(new(), CancellationToken.None));

        Dictionary<long, KeptCycle> Kept() => Enumerable.Range(0, 2).Select(_ => (long)random.Next(1, cycles + 1)).Distinct().ToDictionary(cycle => cycle, cycle => Captures(random.Next(50), (KeepReason)random.Next(3)));
    }

    [Fact]
    public async Task Captures_of_the_same_size_that_took_the_place_of_others_follow_when_the_session_ends()
    {
        // Numbers of the same width are as many bytes.
        KeptCycle Beside(int count) => new(KeepReason.Sample, [], [new(new("U3.18", "left", Core.Diagnosing.SightKind.Supply), count, 0)]);
        var session = await Original.BeginAsync("run");
        var before = await Original.AppendAsync(session, SomeRun.Cycle(1), new Dictionary<long, KeptCycle> { [1] = Beside(5) }, CancellationToken.None);
        var copy = Copy();
        await copy.CopyAsync(CancellationToken.None);
        Assert.Equal(before, await Original.KeepAsync(session, new Dictionary<long, KeptCycle> { [1] = Beside(6) }, CancellationToken.None));
        await Original.EndSessionAsync(session, SomeRun.Start, "Cancelled.", CancellationToken.None);
        await copy.CopyAsync(CancellationToken.None);
        Assert.Equal(6, (await Copied.ReadKeptAsync("run", 1, SimulatedRun.Dome, CancellationToken.None))!.Beside[0].Outcome);
        await StoreRows.AreSameAsync(From, To);
    }

    [Fact]
    public async Task What_somebody_notes_on_the_copy_stays_beside_the_notes_of_the_original()
    {
        await Original.BeginAsync("run");
        await Original.AddNoteAsync("run", SomeRun.Note("first"), CancellationToken.None);
        await Copy().CopyAsync(CancellationToken.None);
        await Copied.AddNoteAsync("run", SomeRun.Note("from elsewhere"), CancellationToken.None);
        await Original.AddNoteAsync("run", SomeRun.Note("second"), CancellationToken.None);
        await Copy().CopyAsync(CancellationToken.None);
        await Copy().CopyAsync(CancellationToken.None);
        Assert.Equal(["first", "from elsewhere", "second"], (await Copied.FindAsync("run", CancellationToken.None))!.Notes.Select(note => note.Words));
    }

    [Fact]
    public async Task A_run_that_somebody_goes_on_with_in_the_other_store_is_refused_and_stays()
    {
        var session = await Original.BeginAsync("run");
        await Original.AppendAsync(session, SomeRun.Cycle(1));
        await Copy().CopyAsync(CancellationToken.None);
        var other = await Copied.OpenSessionAsync("run", SomeRun.Session(99), CancellationToken.None);
        await RefusedAsync();
        await Copied.AppendAsync(other, SomeRun.FailedCycle(2));
        await RefusedAsync();
        // As many sessions and cycles here as there are others'.
        var own = await Original.OpenSessionAsync("run", SomeRun.Session(98), CancellationToken.None);
        await Original.AppendAsync(own, SomeRun.Cycle(2));
        await Original.AppendAsync(own, SomeRun.Cycle(3));
        await RefusedAsync();
        await Copied.FinishAsync(other, SomeRun.Start, "ended elsewhere", "{}", CancellationToken.None);
        await RefusedAsync();
        Assert.Equal([SomeRun.Text(SomeRun.Cycle(1)), SomeRun.Text(SomeRun.FailedCycle(2))], (await Copied.CyclesAsync("run")).Select(SomeRun.Text));

        async Task RefusedAsync()
        {
            var (left, right) = (await StoreRows.ReadAsync(From), await StoreRows.ReadAsync(To));
            var copy = Copy();
            var refused = await Assert.ThrowsAsync<RunStorageException>(() => copy.CopyAsync(CancellationToken.None));
            Assert.Contains("Somebody has gone on with the run 'run'", refused.Message, StringComparison.Ordinal);
            Assert.Contains(From.Place, refused.Message, StringComparison.Ordinal);
            Assert.Contains(To.Place, refused.Message, StringComparison.Ordinal);
            Assert.False(await copy.DeleteOriginalAsync(CancellationToken.None));
            Assert.Equal(SomeRun.Text(left), SomeRun.Text(await StoreRows.ReadAsync(From)));
            Assert.Equal(SomeRun.Text(right), SomeRun.Text(await StoreRows.ReadAsync(To)));
        }
    }

    [Fact]
    public async Task A_run_that_ended_in_the_other_store_without_more_cycles_is_refused_as_well()
    {
        var session = await Original.BeginAsync("run");
        await Copy().CopyAsync(CancellationToken.None);
        await Copied.FinishAsync(session, SomeRun.Start, "ended elsewhere", "{}", CancellationToken.None);
        await Assert.ThrowsAsync<RunStorageException>(() => Copy().CopyAsync(CancellationToken.None));
        Assert.Null((await Original.FindAsync("run", CancellationToken.None))!.Ended);
    }

    [Theory]
    [InlineData("the profile's text: \u00fc\n", 1)]
    [InlineData("another text", 0)]
    public async Task Another_run_of_the_same_name_is_refused_and_both_stay(string profile, int later)
    {
        await WholeRunAsync();
        await Copied.BeginAsync(SomeRun.Heading("run", profile: profile, started: SomeRun.Start.AddTicks(later)), CancellationToken.None);
        var before = SomeRun.Text(await StoreRows.ReadAsync(To));
        var refused = await Assert.ThrowsAsync<RunStorageException>(() => Copy().CopyAsync(CancellationToken.None));
        Assert.Contains($"The run store {To.Place} has another run of the name 'run' than {From.Place}", refused.Message, StringComparison.Ordinal);
        Assert.Contains("a name of its own", refused.Message, StringComparison.Ordinal);
        Assert.Equal(before, SomeRun.Text(await StoreRows.ReadAsync(To)));
    }

    [Fact]
    public async Task An_original_is_deleted_only_when_it_has_ended_and_all_of_it_is_copied()
    {
        var session = await Original.BeginAsync("run");
        await Original.AppendAsync(session, SomeRun.Cycle(1), new Dictionary<long, KeptCycle> { [1] = Captures(1) }, CancellationToken.None);
        var copy = Copy();
        Assert.False(await copy.DeleteOriginalAsync(CancellationToken.None));
        await copy.CopyAsync(CancellationToken.None);
        Assert.False(await copy.DeleteOriginalAsync(CancellationToken.None));
        await Original.FinishAsync(session, SomeRun.Start, "done", "{}", CancellationToken.None);
        Assert.False(await copy.DeleteOriginalAsync(CancellationToken.None));
        await copy.CopyAsync(CancellationToken.None);
        await Original.AddNoteAsync("run", SomeRun.Note("in between"), CancellationToken.None);
        Assert.False(await copy.DeleteOriginalAsync(CancellationToken.None));
        await copy.CopyAsync(CancellationToken.None);
        await Original.ForgetCapturesAsync("run", [1], CancellationToken.None);
        Assert.False(await copy.DeleteOriginalAsync(CancellationToken.None));
        await copy.CopyAsync(CancellationToken.None);
        Assert.True(await copy.DeleteOriginalAsync(CancellationToken.None));
        var left = await StoreRows.ReadAsync(From);
        left.Remove("store_schema");
        Assert.All(left, table => Assert.Empty(table.Value));
        Assert.Equal(["in between"], (await Copied.FindAsync("run", CancellationToken.None))!.Notes.Select(note => note.Words));
        Assert.Empty(await Copied.KeptAsync("run", CancellationToken.None));
    }
}
