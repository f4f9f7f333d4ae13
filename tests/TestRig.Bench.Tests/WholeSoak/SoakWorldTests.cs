using System.Globalization;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>The whole soak in virtual time, with everything going wrong that can. <c>tools/simulate</c> does it with more seeds.</summary>
public class SoakWorldTests
{
    private const int Seeds = 1000, LinesOfTrace = 60, LooksAtMemory = 25, ProgressLines = 200;

    [Fact]
    public void A_soak_to_which_nothing_happens_comes_to_its_end()
    {
        var outcome = SoakWorld.RunScenario(new() { Seed = 1 }, TestFolders.Create());
        Assert.Equal(("", 2L, 1), (Words(outcome), outcome.Cycles, outcome.Processes));
    }

    [Fact]
    public void A_seed_has_one_history_alone_and_beside_others()
    {
        const int count = 20;
        var (alone, beside) = (new SortedDictionary<int, SeedOutcome>(), new SortedDictionary<int, SeedOutcome>());
        new SideBySide(1).Run(Enumerable.Range(1, count).Select(Scenario.Of), outcome => alone.Add(outcome.Scenario.Seed, outcome));
        new SideBySide(3).Run(Enumerable.Range(1, count).Select(Scenario.Of), outcome => beside.Add(outcome.Scenario.Seed, outcome));
        for (var seed = 1; seed <= count; seed++)
        {
            var (first, second) = (alone[seed].Trace, beside[seed].Trace);
            Assert.Equal(first.Tail, second.Tail);
            Assert.Equal((first.Hash, first.Count), (second.Hash, second.Count));
        }
    }

    [Fact]
    public void Whatever_goes_wrong_lines_keep_their_limits_and_cycles_are_counted_once()
    {
        var (from, count) = (Number("FROM") ?? 1, Number("SEEDS") ?? Seeds);
        var report = new SeedReport();
        using var told = Writer("REPORT");
        using var history = Writer("HISTORY");
        Func<int, Scenario> scenario = Number("LONG") is null ? Scenario.Of : Scenario.LongOf;
        new SideBySide(history is null ? Environment.ProcessorCount : 1).Run(Enumerable.Range(from, count).Select(scenario), outcome => Add(outcome, report, told), history);
        told?.WriteLine(report.Summary());
        Assert.True(!report.Broken.Any(), string.Join('\n', report.Broken.Select(Words)));
    }

    /// <summary>Every test run has time for one such soak, and not for all of it.</summary>
    [Fact]
    public void Through_thousands_of_cycles_too()
    {
        var (from, asked) = (Number("FROM") ?? 1, Number("CYCLES"));
        var report = new SeedReport();
        using var told = Writer("REPORT");
        var worlds = new SideBySide(asked is null ? 1 : Environment.ProcessorCount);
        var memory = new MemoryGrowth(warmUp: (asked ?? 0) / 10);
        var next = 0L;
        for (var (part, seed) = (1, from); asked is not null && part <= LooksAtMemory; part++)
        {
            var until = (long)asked * part / LooksAtMemory;
            if (report.Cycles >= until)
                continue;
            worlds.Run(While(() => report.Cycles < until, () => Scenario.LongOf(seed++)), outcome =>
            {
                Add(outcome, report, told);
                if (report.Cycles < next)
                    return;
                told?.WriteLine(report.Progress());
                next = report.Cycles + (asked.Value / ProgressLines);
            });
            told?.WriteLine($"{report.Progress()}; {memory.Look(report.Cycles)}");
        }
        if (asked is null)
            worlds.Run([Scenario.LongOf(from) with { Cycles = 300, Quiet = TimeSpan.FromMinutes(10) }], outcome => Add(outcome, report, told));
        told?.WriteLine(report.Summary());
        told?.WriteLine(memory.Summary());
        Assert.True(!report.Broken.Any(), string.Join('\n', report.Broken.Select(Words)));
    }

    [Fact]
    public void A_device_that_forgets_its_heartbeat_is_found_out()
    {
        // Killed within a cycle, the host leaves it armed.
        var outcome = First(seed => new() { Seed = seed, Device = DeviceFault.ForgetsHeartbeat, Kills = 1, Quiet = TimeSpan.FromSeconds(4) });
        Assert.Contains("silent for longer than its heartbeat limit", outcome, StringComparison.Ordinal);
    }

    [Fact]
    public void A_line_that_stays_on_is_found_out() => Assert.Contains("longer than", First(seed => new() { Seed = seed, Device = DeviceFault.LeavesLineOn }), StringComparison.Ordinal);

    [Fact]
    public void A_run_that_is_executed_twice_is_found_out() => Assert.Contains("is executed after run", First(seed => new() { Seed = seed, Device = DeviceFault.RunsTwice }), StringComparison.Ordinal);

    [Fact]
    public void A_host_that_repeats_a_run_under_a_new_number_is_found_out() =>
        Assert.Contains("a program that was executed in this arming before", First(seed => new() { Seed = seed, RepeatsRuns = true }), StringComparison.Ordinal);

    [Fact]
    public void A_store_that_loses_what_it_acknowledged_is_found_out() =>
        Assert.Contains("the result counts 1 cycles, and the store has 0", First(seed => new() { Seed = seed, Cycles = 1, Store = StoreFaults.None with { Planted = StoreFault.Loses } }), StringComparison.Ordinal);

    [Fact]
    public void A_store_that_doubles_a_cycle_is_found_out() =>
        Assert.Contains("the result counts 1 cycles, and the store has 2", First(seed => new() { Seed = seed, Cycles = 1, Store = StoreFaults.None with { Planted = StoreFault.Doubles } }), StringComparison.Ordinal);

    /// <summary>What is found in the first of a few seeds in which anything is.</summary>
    private static string First(Func<int, Scenario> scenario)
    {
        var folder = TestFolders.CreateInMemory();
        return Enumerable.Range(1, 10).Select(seed => SoakWorld.RunScenario(scenario(seed), folder).Broken).FirstOrDefault(broken => broken is not null) ?? "nothing";
    }

    private static string Words(SeedOutcome outcome) => outcome.Broken is null ? "" : SeedReport.Of(outcome, LinesOfTrace);

    private static void Add(SeedOutcome outcome, SeedReport report, StreamWriter? told)
    {
        report.Add(outcome);
        if (outcome.Broken is not null)
            told?.WriteLine(SeedReport.Of(outcome, LinesOfTrace));
    }

    private static IEnumerable<Scenario> While(Func<bool> goesOn, Func<Scenario> next)
    {
        while (goesOn())
            yield return next();
    }

    /// <summary>What tools/simulate asks for; null where it does not.</summary>
    private static int? Number(string what) => Asked(what) is { } text ? int.Parse(text, CultureInfo.InvariantCulture) : null;

    /// <summary>To the file that tools/simulate names; null without one.</summary>
    private static StreamWriter? Writer(string what) => Asked(what) is { } path ? new StreamWriter(path) { AutoFlush = true } : null;

    private static string? Asked(string what) => Environment.GetEnvironmentVariable($"TESTRIG_SIMULATE_{what}") is { Length: > 0 } text ? text : null;
}
