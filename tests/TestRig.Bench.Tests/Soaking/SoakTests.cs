using TestRig.Bench.Diagnosing;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Soaking;

public class SoakTests
{
    [Fact]
    public async Task Every_cycle_is_stored_once_and_the_first_and_the_last_are_kept_whole()
    {
        await using var bench = await SoakBench.CreateAsync([]);
        var result = await bench.SoakAsync(SoakBench.Cycled(7));
        Assert.Equal(SoakOutcome.Complete, result.Ending.Outcome);
        Assert.Equal((7, 0), (result.Tally.Cycles, result.Tally.FailingCycles));
        var stored = await bench.StoredAsync();
        Assert.Equal([1, 2, 3, 4, 5, 6, 7], stored.Select(cycle => cycle.Number));
        Assert.All(stored, cycle => Assert.All(cycle.Channels, channel => Assert.Equal(Condition.Working, channel.Condition)));
        Assert.All(stored, cycle => Assert.Contains(cycle.Figures, figure => figure.Key.Kind == FigureKind.Delay));
        var kept = await bench.Store.KeptAsync(bench.Run.Id, CancellationToken.None);
        Assert.Equal(KeepReason.First, kept[0].Reason);
        Assert.Equal(7, kept[^1].Cycle);
        Assert.Equal(kept.Sum(entry => entry.Bytes), result.DiskBytes - stored.Sum(CaptureKeeping.SummaryBytes));
    }

    [Fact]
    public async Task A_cycle_is_durable_before_the_next_begins()
    {
        await using var bench = await SoakBench.CreateAsync([]);
        var counts = new List<(long Told, long Stored)>();
        bench.Told = step =>
        {
            if (step is CycleDone done)
                counts.Add((done.Cycle.Number, bench.Store.FindAsync(bench.Run.Id, CancellationToken.None).GetAwaiter().GetResult()!.Cycles));
        };
        await bench.SoakAsync(SoakBench.Cycled(4));
        Assert.Equal([(1, 1), (2, 2), (3, 3), (4, 4)], counts);
    }

    [Fact]
    public async Task A_cancelled_soak_finishes_its_cycle_and_a_resumed_one_does_the_rest()
    {
        await using var bench = await SoakBench.CreateAsync([]);
        using var lastCycle = new CancellationTokenSource();
        bench.Told = step =>
        {
            if (step is CycleDone { Cycle.Number: 3 })
                lastCycle.Cancel();
        };
        var first = await bench.SoakAsync(SoakBench.Cycled(8), lastCycle.Token);
        Assert.Equal(SoakOutcome.Cancelled, first.Ending.Outcome);
        Assert.Equal(3, first.Tally.Cycles);

        var second = await bench.SoakAsync(SoakBench.Cycled(8));
        Assert.Equal(SoakOutcome.Complete, second.Ending.Outcome);
        Assert.Equal(8, second.Tally.Cycles);
        Assert.Equal(Enumerable.Range(1, 8).Select(number => (long)number), (await bench.StoredAsync()).Select(cycle => cycle.Number));
        var sessions = (await bench.Store.FindAsync(bench.Run.Id, CancellationToken.None))!.Sessions;
        Assert.Equal(2, sessions.Length);
        Assert.All(sessions, session => Assert.NotNull(session.Ended));
    }

    [Fact]
    public async Task A_soak_that_is_cut_short_does_not_count_the_cycle_that_was_going_on()
    {
        await using var bench = await SoakBench.CreateAsync([]);
        using var now = new CancellationTokenSource();
        bench.Told = step =>
        {
            if (step is CycleDone { Cycle.Number: 2 })
                now.Cancel();
        };
        var result = await bench.SoakAsync(SoakBench.Cycled(8), CancellationToken.None, now.Token);
        Assert.Equal((SoakOutcome.Cancelled, 2), (result.Ending.Outcome, result.Tally.Cycles));
    }

    [Fact]
    public async Task An_adapter_that_goes_away_is_waited_for_and_the_cut_cycle_is_done_as_a_whole_new_one()
    {
        await using var bench = await SoakBench.CreateAsync([], goneInRun: 20);
        bench.Refuse(3);
        var result = await bench.SoakAsync(SoakBench.Cycled(6));
        Assert.Equal((SoakOutcome.Complete, 6, 0), (result.Ending.Outcome, result.Tally.Cycles, result.Tally.FailingCycles));
        Assert.Single(bench.Events.OfType<AdapterGone>());
        Assert.Equal([1, 2, 3], bench.Events.OfType<AdapterAwaited>().Select(awaited => awaited.Attempt));
        var waits = bench.Events.OfType<AdapterAwaited>().Select(awaited => awaited.Next).ToList();
        Assert.True(waits[2] > waits[0], "it backs off");
        Assert.Equal(2, bench.Events.OfType<AdapterFound>().Count());
        var run = (await bench.Store.FindAsync(bench.Run.Id, CancellationToken.None))!;
        Assert.Equal(2, run.Sessions.Length);
        Assert.Contains("gone", run.Sessions[0].Words, StringComparison.Ordinal);
        // The gap is on record: nothing was measured between the one's last cycle and the other's start.
        Assert.True(run.Sessions[1].Started - run.Sessions[0].Last > waits[0]);
    }

    [Fact]
    public async Task Nothing_is_driven_with_another_adapter_than_the_one_that_was_gone()
    {
        await using var bench = await SoakBench.CreateAsync([], goneInRun: 12, comesBackAs: identity => identity with { Firmware = "another" });
        var result = await bench.SoakAsync(SoakBench.Cycled(6));
        Assert.Equal(SoakOutcome.AdapterFailed, result.Ending.Outcome);
        Assert.Contains("Another adapter came back", result.Ending.Words, StringComparison.Ordinal);
        Assert.Equal(1, result.Tally.Cycles);
    }

    [Fact]
    public async Task A_fault_that_comes_now_and_then_is_explained_and_kept_with_the_cycles_before_it()
    {
        await using var bench = await SoakBench.CreateAsync(["OK2=intermittent:0.02"], profile: "dome-drive");
        var result = await bench.SoakAsync(SoakBench.Cycled(120) with { Before = 2 });
        var shown = Assert.Single(result.Tally.Channels, channel => channel.Failures > 0);
        Assert.True(shown.IsIntermittent);
        var pattern = Assert.Single(result.Patterns);
        Assert.Equal("OK2", Assert.Single(pattern.Explanation!.Diagnosis.Suspects.First().Group));
        Assert.Equal(result.Tally.FailingCycles, pattern.Times);

        var kept = (await bench.Store.KeptAsync(bench.Run.Id, CancellationToken.None)).ToDictionary(entry => entry.Cycle);
        var failing = (await bench.StoredAsync()).Where(cycle => cycle.Failed).Select(cycle => cycle.Number).ToList();
        Assert.All(failing, number => Assert.Equal(KeepReason.Failure, kept[number].Reason));
        Assert.All(failing, number => Assert.True(kept.ContainsKey(number - 1) && kept.ContainsKey(number - 2)));
    }

    /// <summary>The store alone has all that is needed: whoever reads the run later is told the same, to the word.</summary>
    [Fact]
    public async Task What_a_soak_found_is_found_again_from_the_store_alone()
    {
        await using var bench = await SoakBench.CreateAsync(["OK2=intermittent:0.05", "OK3=intermittent:0.03"], profile: "dome-drive");
        var live = await bench.SoakAsync(SoakBench.Cycled(80));
        Assert.InRange(live.Patterns.Length, 2, 3);
        var known = (await bench.Store.FindAsync(bench.Run.Id, CancellationToken.None))!;
        var stored = new StoredSoak(known, ProfileLoader.Load(known.Heading.Profile).Board!, watchIdle: false, BoardDiagnosis.Of);
        await stored.ReadAsync(bench.Store, CancellationToken.None);
        var found = stored.Findings()!;
        Assert.Equal(SoakJson.Write(live, null), SoakJson.Write(found, null));
        Assert.Equal(live.Patterns.Select(Told), found.Patterns.Select(Told));

        static string Told(FailurePattern pattern)
        {
            var (cycle, sweep, diagnosis) = pattern.Explanation!;
            var faults = diagnosis.Faults.Select(fault => $"{string.Join(", ", fault.Suspects.Select(suspect => $"{Words.Of(suspect)} {suspect.Belief}"))}: {fault.Advice}");
            return $"{pattern.Words} {pattern.Times} {pattern.First} {cycle} {string.Join("; ", faults)} {SpareWords.Now(pattern.Explanation.Spares)} {string.Join("; ", sweep.Channels.Select(channel => channel.Summary))}";
        }
    }

    [Fact]
    public async Task A_resumed_soak_tells_what_failed_before_it_too()
    {
        await using var bench = await SoakBench.CreateAsync(["OK2=dead"], profile: "dome-drive");
        var first = await bench.SoakAsync(SoakBench.Cycled(9) with { StopAfterFailures = 2 });
        Assert.Equal(2, Assert.Single(first.Patterns).Times);
        bench.Repair();
        var second = await bench.SoakAsync(SoakBench.Cycled(5));
        Assert.Equal((SoakOutcome.Complete, 5, 2), (second.Ending.Outcome, second.Tally.Cycles, second.Tally.FailingCycles));
        var pattern = Assert.Single(second.Patterns);
        Assert.Equal((first.Patterns[0].Words, 2, 1), (pattern.Words, pattern.Times, pattern.First));
        Assert.Equal("OK2", Assert.Single(pattern.Explanation!.Diagnosis.Suspects.First().Group));
    }

    /// <summary>A failing cycle brings those before it: where room is short the nearest are kept, and the budget all the same.</summary>
    [Fact]
    public async Task Captures_of_cycles_before_a_failure_are_kept_within_the_budget()
    {
        await using var bench = await SoakBench.CreateAsync(["OK2=intermittent:0.2"], profile: "dome-drive");
        const long budget = 60_000;
        await bench.SoakAsync(SoakBench.Cycled(200) with { DiskBudget = budget, Before = 20 });
        var kept = await bench.Store.KeptAsync(bench.Run.Id, CancellationToken.None);
        Assert.Contains(kept, entry => entry.Reason == KeepReason.BeforeFailure);
        Assert.InRange(kept.Sum(entry => entry.Bytes), 1, budget);
    }

    [Fact]
    public async Task A_store_that_fails_ends_it_and_what_was_found_is_told()
    {
        await using var bench = await SoakBench.CreateAsync(["OK2=dead"], profile: "dome-drive");
        bench.Told = step =>
        {
            if (step is CycleDone { Cycle.Number: 2 })
                bench.TakeStoreAway();
        };
        var result = await bench.SoakAsync(SoakBench.Cycled(9));
        Assert.Equal((SoakOutcome.StoreFailed, 2, 2), (result.Ending.Outcome, result.Tally.Cycles, result.Tally.FailingCycles));
        Assert.Contains("it is not there any more", result.Ending.Words, StringComparison.Ordinal);
        Assert.Contains("2 cycles are stored for certain", result.Ending.Words, StringComparison.Ordinal);
        Assert.Equal("OK2", Assert.Single(Assert.Single(result.Patterns).Explanation!.Diagnosis.Suspects.First().Group));
    }

    /// <summary>The store alone has all that is needed: the same board gives the same conditions, and a changed one others.</summary>
    [Fact]
    public async Task Kept_cycles_are_judged_again_by_their_own_profile_and_by_a_changed_one()
    {
        await using var bench = await SoakBench.CreateAsync(["OK2=intermittent:0.05"], profile: "dome-drive");
        await bench.SoakAsync(SoakBench.Cycled(60));
        var stored = await bench.StoredAsync();
        var failing = stored.First(cycle => cycle.Failed);
        var board = Bench.Files.ProfileLoader.Load((await bench.Store.FindAsync(bench.Run.Id, CancellationToken.None))!.Heading.Profile).Board!;
        var again = Rejudging.Of(board, (await bench.Store.ReadKeptAsync(bench.Run.Id, failing.Number, board, CancellationToken.None))!, failing, watchedIdle: false);
        Assert.Equal(failing.Channels.Select(channel => (channel.Channel, channel.Condition, channel.Summary)), again.Select(channel => (channel.Channel.Name, channel.Condition, channel.Condition == Condition.Working ? null : channel.Summary)));

        // An isolator that may take no time at all: every channel is slow.
        var strict = board with
        {
            Channels = [.. board.Channels.Select(channel => channel with { Stages = [.. channel.Stages.Select(stage => stage with { Rise = new(default, new(1_000), "invented"), Fall = new(default, new(1_000), "invented") })] })],
        };
        var first = Rejudging.Of(strict, (await bench.Store.ReadKeptAsync(bench.Run.Id, 1, strict, CancellationToken.None))!, stored[0], watchedIdle: false);
        Assert.All(first, channel => Assert.Equal(Condition.Slow, channel.Condition));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    public async Task So_many_failing_cycles_end_it(int failures)
    {
        await using var bench = await SoakBench.CreateAsync(["OK2=dead"], profile: "dome-drive");
        var result = await bench.SoakAsync(SoakBench.Cycled(50) with { StopAfterFailures = failures });
        Assert.Equal((SoakOutcome.EnoughFailures, failures), (result.Ending.Outcome, result.Tally.Cycles));
    }

    [Fact]
    public async Task A_supply_that_is_off_is_looked_at_again_after_a_pause_and_nothing_is_driven()
    {
        await using var bench = await SoakBench.CreateAsync(["supply:logic=off"], profile: "dome-drive");
        var result = await bench.SoakAsync(SoakBench.Cycled(3));
        Assert.Equal(3, bench.Events.OfType<PausedFor>().Count());
        Assert.Equal((3, 3), (result.Tally.Checks.Failures, result.Tally.FailingCycles));
        Assert.All(result.Tally.Channels, channel => Assert.Equal(3, channel.NotTested));
        Assert.Contains("logic", result.Tally.Checks.FirstWords, StringComparison.Ordinal);
        Assert.True(result.Tally.Hours > TimeSpan.FromSeconds(20).TotalHours, "two pauses of ten seconds");
    }

    [Fact]
    public async Task A_stop_input_ends_it_whatever_was_asked_for()
    {
        await using var bench = await SoakBench.CreateAsync(["emergency-stop=active"], profile: "dome-drive");
        var result = await bench.SoakAsync(SoakBench.Cycled(5));
        Assert.Equal((SoakOutcome.StoppedForSafety, 1), (result.Ending.Outcome, result.Tally.Cycles));
    }

    [Fact]
    public async Task The_disk_budget_is_kept_and_ends_it()
    {
        await using var bench = await SoakBench.CreateAsync([]);
        var result = await bench.SoakAsync(SoakBench.Cycled(10_000) with { DiskBudget = 30_000 });
        Assert.Equal(SoakOutcome.DiskBudgetUsed, result.Ending.Outcome);
        Assert.InRange(result.DiskBytes, 20_000, 30_000 + CaptureKeeping.SummaryBytes((await bench.StoredAsync())[0]));
    }

    [Fact]
    public async Task A_time_ends_it_in_the_benchs_own_time_and_what_was_soaked_before_counts()
    {
        await using var bench = await SoakBench.CreateAsync([]);
        using var lastCycle = new CancellationTokenSource();
        bench.Told = step =>
        {
            if (step is CycleDone { Tally.Exercised.TotalSeconds: > 60 })
                lastCycle.Cancel();
        };
        var hours = SoakBench.Cycled(0) with { Cycles = null, For = TimeSpan.FromSeconds(100) };
        await bench.SoakAsync(hours, lastCycle.Token);
        bench.Told = _ => { };
        var result = await bench.SoakAsync(hours);
        Assert.Equal(SoakOutcome.Complete, result.Ending.Outcome);
        Assert.InRange(result.Tally.Exercised.TotalSeconds, 99, 105);
    }

    [Fact]
    public async Task Idle_lines_are_watched_and_what_changes_by_itself_is_found()
    {
        await using var quiet = await SoakBench.CreateAsync([]);
        var result = await quiet.SoakAsync(SoakBench.Cycled(2) with { WatchIdle = true });
        Assert.Equal((2, 0), (result.Tally.Cycles, result.Tally.FailingCycles));
        Assert.All(result.Tally.Channels, channel => Assert.Equal(2, channel.Judged));
    }

    [Fact]
    public async Task A_motion_that_was_cut_short_is_not_gone_on_with_where_no_limit_switch_ends_it()
    {
        await using var bench = await SoakBench.CreateAsync([], goneInRun: 3, profile: "dome-drive", motorSupplyOn: true);
        var open = bench.Board.Lines.FirstOrDefault(line => line.Motion && !bench.Board.Stops.Any(stop => stop.IsLimit && stop.Lines.Contains(line)));
        var options = SoakBench.Cycled(2);
        var result = await bench.SoakAsync(options with { Sweep = options.Sweep with { Mode = ExerciseMode.Motion } });
        Assert.Equal(open is null ? SoakOutcome.Complete : SoakOutcome.AdapterFailed, result.Ending.Outcome);
    }
}
