using System.Diagnostics;
using System.Globalization;
using Serilog.Core;
using TestRig.Bench.Adapters;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Diagnosing;
using TestRig.Core.Scheduling;
using TestRig.Core.Statistics;
using TestRig.Tests.Shared;

namespace TestRig.Benchmarks;

/// <summary>A night on the simulated bench, kept in a real store: how much faster than real it passes, and what memory it takes.</summary>
internal static class SoakNight
{
    public const string NightName = "soak: a night of 8 h with motion, simulated, as a multiple of real time";

    public const string MemoryName = "soak: memory that a million cycles add";

    /// <summary>Cycles before the first look at the memory, from one look to the next, and in all; TESTRIG_SOAK_CYCLES asks for more.</summary>
    private const int WarmUp = 10_000, Step = 2_500, Usual = 60_000;

    /// <summary>A night in a minute.</summary>
    private const double GoalOfNight = 8 * 60, GoalOfMemory = 1_000_000;

    public static string MeasureNight()
    {
        var clock = Stopwatch.StartNew();
        var result = RunAsync("dome-drive", ExerciseMode.Motion, null, TimeSpan.FromHours(8), new Silent()).GetAwaiter().GetResult();
        var ratio = TimeSpan.FromHours(8) / clock.Elapsed;
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{NightName}: {ratio:0} (goal >= {GoalOfNight:0} {(ratio >= GoalOfNight ? "met" : "MISSED")}; {result.Tally.Cycles} cycles in {clock.Elapsed.TotalSeconds:0} s)");
    }

    public static string MeasureMemory()
    {
        var cycles = int.Parse(Environment.GetEnvironmentVariable("TESTRIG_SOAK_CYCLES") ?? $"{Usual}", CultureInfo.InvariantCulture);
        var memory = new Memory();
        RunAsync("tide-gauge", ExerciseMode.LogicOnly, cycles, null, memory).GetAwaiter().GetResult();
        return $"{MemoryName}: {Growth(memory.Heap)} of live objects, {Growth(memory.Resident)} resident; over {cycles - WarmUp} cycles after the first {WarmUp}";
    }

    /// <summary>Megabytes that a million cycles add (Theil and Sen, with the 95 % interval): single looks jump by what the collector keeps for later. Bytes a cycle are megabytes a million.</summary>
    private static string Growth(IReadOnlyList<TimedValue> looks)
    {
        var trend = Trend.Of(looks) ?? throw new InvalidOperationException("Too few cycles for a trend.");
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{trend.Line.Slope:0.00} MB ({trend.SlopeAtLeast:0.00} to {trend.SlopeAtMost:0.00}; goal <= {GoalOfMemory / 1e6:0} {(trend.Line.Slope <= GoalOfMemory / 1e6 ? "met" : "MISSED")})");
    }

    private static async Task<SoakResult> RunAsync(string profile, ExerciseMode mode, long? cycles, TimeSpan? time, IProgress<SoakEvent> progress)
    {
        var folder = Directory.CreateTempSubdirectory("testrig-soak-");
        try
        {
            var loaded = ProfileLoader.Load(Path.Combine(RepositoryRoot.Path, "profiles", $"{profile}.yaml"), Path.Combine(RepositoryRoot.Path, "profiles", "parts"));
            await using var store = await RunStores.OpenAsync(Path.Combine(folder.FullName, "runs.db"), CancellationToken.None);
            var bench = new SimulatedAdapter(loaded.Board!, FaultPlan.None, 1, motorSupplyOn: mode == ExerciseMode.Motion);
            var clock = new SimulatedTime(bench, DateTimeOffset.UnixEpoch);
            var run = new RunHeading("night", RunKind.Soak, loaded.Board!.Name, loaded.Source!, mode, clock.GetLocalNow(), "{}", "benchmark") { Simulated = true };
            await store.BeginAsync(run, CancellationToken.None);
            var options = new SoakOptions(new(mode, MotorOffConfirmed: true, NoStopInputAcknowledged: false), time, cycles, null);
            return await new Soak(loaded.Board!, new Source(bench), options, store, clock, () => 0.5, (_, _) => Diagnosis.None, Logger.None).RunAsync(run, progress, CancellationToken.None, CancellationToken.None);
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private sealed class Source(SimulatedAdapter bench) : IAdapterSource
    {
        public Task<IAdapter> OpenAsync(CancellationToken cancellation) => Task.FromResult<IAdapter>(bench);
    }

    private sealed class Silent : IProgress<SoakEvent>
    {
        public void Report(SoakEvent value)
        {
        }
    }

    private sealed class Memory : IProgress<SoakEvent>
    {
        public List<TimedValue> Heap { get; } = [];

        public List<TimedValue> Resident { get; } = [];

        public void Report(SoakEvent value)
        {
            if (value is not CycleDone { Cycle.Number: >= WarmUp and var number } || number % Step != 0)
                return;
            GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
            Heap.Add(new(number, GC.GetTotalMemory(forceFullCollection: false)));
            Resident.Add(new(number, ResidentBytes()));
        }

        /// <summary>Of the program's own data: pages of its files, which the system may drop at any time, are not counted where it tells them apart (proc(5), RssAnon).</summary>
        private static long ResidentBytes()
        {
            const string Status = "/proc/self/status", Anonymous = "RssAnon:";
            if (!File.Exists(Status))
                return Environment.WorkingSet;
            var kilobytes = File.ReadLines(Status).First(line => line.StartsWith(Anonymous, StringComparison.Ordinal))[Anonymous.Length..].Replace("kB", "", StringComparison.Ordinal);
            return long.Parse(kilobytes, CultureInfo.InvariantCulture) * 1024;
        }
    }
}
