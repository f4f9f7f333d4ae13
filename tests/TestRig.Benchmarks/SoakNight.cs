using System.Diagnostics;
using System.Globalization;
using Serilog.Core;
using TestRig.Bench.Adapters;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Scheduling;
using TestRig.Tests.Shared;

namespace TestRig.Benchmarks;

/// <summary>A night on the simulated bench, kept in a real store: how much faster than real it passes, and what memory it takes.</summary>
internal static class SoakNight
{
    public const string NightName = "soak: a night of 8 h with motion, simulated, as a multiple of real time";

    public const string MemoryName = "soak: memory that a million cycles add after the first 5 000";

    private const int WarmUp = 5_000, Measured = 20_000;

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
        var memory = new Memory();
        RunAsync("tide-gauge", ExerciseMode.LogicOnly, WarmUp + Measured, null, memory).GetAwaiter().GetResult();
        var (heap, resident) = (memory.Heap * (1_000_000 / Measured), memory.Resident * (1_000_000 / Measured));
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{MemoryName}: {heap / 1e6:0.00} MB of live objects (goal <= {GoalOfMemory / 1e6:0} {(heap <= GoalOfMemory ? "met" : "MISSED")}); {resident / 1e6:0.0} MB resident, which the collector gives back when it likes; over {Measured} cycles");
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
            return await new Soak(loaded.Board!, new Source(bench), options, store, clock, () => 0.5, Logger.None).RunAsync(run, progress, CancellationToken.None, CancellationToken.None);
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

    /// <summary>Between the end of the warm-up and the end of the run.</summary>
    private sealed class Memory : IProgress<SoakEvent>
    {
        private long _heap, _resident;

        public double Heap { get; private set; }

        public double Resident { get; private set; }

        public void Report(SoakEvent value)
        {
            if (value is not CycleDone { Cycle.Number: WarmUp or WarmUp + Measured } done)
                return;
            var (heap, resident) = (GC.GetTotalMemory(forceFullCollection: true), Environment.WorkingSet);
            (Heap, Resident) = (heap - _heap, resident - _resident);
            if (done.Cycle.Number == WarmUp)
                (_heap, _resident) = (heap, resident);
        }
    }
}
