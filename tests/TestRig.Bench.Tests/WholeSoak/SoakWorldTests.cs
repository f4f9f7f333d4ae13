using System.Globalization;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>The whole soak in virtual time, with everything going wrong that can. <c>tools/simulate</c> does it with more seeds.</summary>
public class SoakWorldTests
{
    private const int Seeds = 700, LinesOfTrace = 60;

    [Fact]
    public void A_soak_to_which_nothing_happens_comes_to_its_end()
    {
        var outcome = SoakWorld.RunScenario(new() { Seed = 1 }, TestFolders.Create());
        Assert.Equal(("", 2L, 1), (Words(outcome), outcome.Cycles, outcome.Processes));
    }

    [Fact]
    public void A_seed_has_one_history()
    {
        var folder = TestFolders.Create();
        for (var seed = 1; seed <= 20; seed++)
        {
            var (first, second) = (SoakWorld.RunSeed(seed, folder), SoakWorld.RunSeed(seed, folder));
            Assert.Equal(first.Trace.Tail, second.Trace.Tail);
            Assert.Equal((first.Trace.Hash, first.Trace.Count), (second.Trace.Hash, second.Trace.Count));
        }
    }

    [Fact]
    public void Whatever_goes_wrong_lines_keep_their_limits_and_cycles_are_counted_once()
    {
        var report = new SeedReport();
        var folder = TestFolders.Create();
        var (from, count) = Asked();
        using var told = Writer("TESTRIG_SIMULATE_REPORT");
        using var history = Writer("TESTRIG_SIMULATE_HISTORY");
        for (var seed = from; seed < from + count; seed++)
        {
            var outcome = SoakWorld.RunSeed(seed, folder, history);
            report.Add(outcome);
            if (outcome.Broken is not null)
                told?.WriteLine(SeedReport.Of(outcome, LinesOfTrace));
        }
        told?.WriteLine(report.Summary());
        Assert.True(report.Broken.Count == 0, string.Join('\n', report.Broken.Select(Words)));
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
        var folder = TestFolders.Create();
        return Enumerable.Range(1, 10).Select(seed => SoakWorld.RunScenario(scenario(seed), folder).Broken).FirstOrDefault(broken => broken is not null) ?? "nothing";
    }

    private static string Words(SeedOutcome outcome) => outcome.Broken is null ? "" : SeedReport.Of(outcome, LinesOfTrace);

    /// <summary>Of tools/simulate, or as many as every test run has time for.</summary>
    private static (int From, int Count) Asked() => (Number("TESTRIG_SIMULATE_FROM") ?? 1, Number("TESTRIG_SIMULATE_SEEDS") ?? Seeds);

    private static int? Number(string variable) => Environment.GetEnvironmentVariable(variable) is { Length: > 0 } text ? int.Parse(text, CultureInfo.InvariantCulture) : null;

    /// <summary>To the file that a variable names; null without one.</summary>
    private static StreamWriter? Writer(string variable) => Environment.GetEnvironmentVariable(variable) is { Length: > 0 } path ? new StreamWriter(path) { AutoFlush = true } : null;
}
