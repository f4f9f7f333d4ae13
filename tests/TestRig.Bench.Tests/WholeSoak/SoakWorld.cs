using System.Diagnostics.CodeAnalysis;
using Serilog.Core;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Link;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>
/// One soak with everything around it: the operator who starts, interrupts and resumes it, the processes, the store, the wire, the adapter with its firmware, and the board. All that goes wrong is
/// drawn from the seed.
/// </summary>
internal sealed class SoakWorld : IDisposable
{
    private const string Run = "soak";

    private static readonly Dictionary<string, (Board Board, ProfileSource Source)> _profiles = [];

    private readonly Scenario _scenario;
    private readonly Board _board;
    private readonly ProfileSource _source;
    private readonly World _world;
    private readonly Trace _trace;
    private readonly FaultCount _count = new();
    private readonly Checker _checker;
    private readonly BenchBoard _bench;
    private readonly Plug _plug;
    private readonly Random _random;
    private readonly WallClock _wall = new();
    private readonly List<Device> _devices = [];
    private readonly List<IRunStore> _stores = [];
    private readonly string _file;
    private HostProcess? _process;
    private FaultyStore? _store;
    private CancellationTokenSource _lastCycle = new();
    private CancellationTokenSource _now = new();
    private int _processes;
    private bool _isOver;
    private bool _isQuiet;
    private Exception? _broken;

    private SoakWorld(Scenario scenario, string folder, TextWriter? history)
    {
        _trace = new(history);
        _scenario = scenario;
        (_board, _source) = ProfileOf(scenario.Profile);
        _random = new Random(scenario.Seed ^ 0x5EED);
        _world = new(_trace);
        _checker = new(_world, _board);
        _bench = new(_world, _board, FaultyBench.Plan(_board, scenario.BoardFaults), new Variation(scenario.Seed), scenario.Mode == Core.Scheduling.ExerciseMode.Motion, _checker);
        _plug = new(_world, _checker, scenario.Wire, new Random(scenario.Seed ^ 0x31E), _count) { ResetsOnOpening = scenario.ResetsOnOpening, RepeatsRuns = scenario.RepeatsRuns };
        _file = Path.Combine(folder, "runs.db");
    }

    public static SeedOutcome RunSeed(int seed, DirectoryInfo folder, TextWriter? history = null) => RunScenario(Scenario.Of(seed), folder, history);

    /// <param name="folder">For its store, which is deleted afterwards. The same for many: what the statements of a store are compiled to is kept by its name.</param>
    /// <param name="history">Gets everything that happens.</param>
    public static SeedOutcome RunScenario(Scenario scenario, DirectoryInfo folder, TextWriter? history = null)
    {
        var before = SynchronizationContext.Current;
        using var world = new SoakWorld(scenario, folder.FullName, history);
        try
        {
            SynchronizationContext.SetSynchronizationContext(null);
            var broken = world.Go();
            return new(scenario, broken, world._trace, world._checker.Cycles, world._checker.Checks, world._processes, world._count);
        }
        finally
        {
            SynchronizationContext.SetSynchronizationContext(before);
        }
    }

    public void Dispose()
    {
        foreach (var device in _devices)
            device.Dispose();
        foreach (var store in _stores)
            store.DisposeAsync().AsTask().GetAwaiter().GetResult();
        _lastCycle.Dispose();
        _now.Dispose();
        foreach (var part in Directory.GetFiles(Path.GetDirectoryName(_file)!, Path.GetFileName(_file) + "*"))
            File.Delete(part);
    }

    private static (Board Board, ProfileSource Source) ProfileOf(string name)
    {
        lock (_profiles)
        {
            if (!_profiles.TryGetValue(name, out var known))
                _profiles[name] = known = (DemoBoards.Load(name), ProfileLoader.Load(Path.Combine(Repository.Root, "profiles", $"{name}.yaml"), Repository.PartsFolder).Source!);
            return known;
        }
    }

    private string? Go()
    {
        try
        {
            _plug.PlugIn(NewDevice(null));
            _checker.Begin();
            PlanTroubles();
            _world.In(TimeSpan.FromSeconds(1), null, StartProcess);
            _world.RunUntil(() => _isOver || _broken is not null, World.Picoseconds(_scenario.Longest));
            if (_broken is null)
            {
                // The host is silent now; whatever the device still holds runs out.
                var rest = _world.Now + World.Picoseconds(TimeSpan.FromSeconds(65));
                _world.RunUntil(() => _world.Now >= rest || _broken is not null, long.MaxValue);
                _checker.HoldsAtTheEnd(Stored());
            }
            return _broken?.ToString();
        }
        catch (BrokenInvariantException broken)
        {
            return broken.Message;
        }
        catch (Exception unexpected) when (unexpected is not OutOfMemoryException)
        {
            // No process's end but the simulation's own: the seed has to tell of itself all the same.
            return unexpected.ToString();
        }
    }

    private Device NewDevice(string? name)
    {
        var device = new Device(_world, _bench, _checker, name, _scenario.Device, _random.Next(), _plug.ToHost.Send);
        _devices.Add(device);
        return device;
    }

    private void PlanTroubles()
    {
        void Plan(int times, string kind, Action what)
        {
            for (var time = 0; time < times; time++)
            {
                _world.At((long)(_random.NextDouble() * World.Picoseconds(_scenario.Quiet)), null, () =>
                {
                    _world.Tell(kind);
                    _count.Add(kind);
                    what();
                });
            }
        }

        var another = _scenario.AnotherReturns;
        Plan(_scenario.NoiseBursts, "noise to the device", _plug.ToDevice.Noise);
        Plan(_scenario.NoiseBursts, "noise to the host", _plug.ToHost.Noise);
        Plan(_scenario.Unplugs, "adapter unplugged", () =>
        {
            Unplug(another);
            another = false;
        });
        Plan(_scenario.Resets, "device reset", () => _plug.Device?.Reset(
            (ResetCauses)(2 << _random.Next(3)), TimeSpan.FromMilliseconds(_random.Next(2) == 0 ? 70 : 1500)));
        Plan(_scenario.Kills, "process killed", Kill);
        Plan(_scenario.Interrupts, "interrupted", Interrupt);
        Plan(_scenario.ClockSteps, "clock set", () => _wall.Offset += TimeSpan.FromSeconds(_random.Next(-7200, 7200)));
        if (_scenario.DroppingSupply is { } supply)
        {
            var (there, gone) = (FaultyBench.Plan(_board, _scenario.BoardFaults), FaultyBench.Plan(_board, [.. _scenario.BoardFaults, $"supply:{supply}=off"]));
            Plan(_scenario.SupplyDrops, "supply drops out", () =>
            {
                BoardBecomes(gone);
                _world.In(TimeSpan.FromMilliseconds(_random.Next(500, 30_000)), null, () => BoardBecomes(there));
            });
            _world.In(_scenario.Quiet, null, () => BoardBecomes(there));
        }
        _world.In(_scenario.Quiet, null, () =>
        {
            _world.Tell("from here on nothing more goes wrong");
            _isQuiet = true;
            _plug.ToDevice.IsBad = _plug.ToHost.IsBad = false;
            if (_store is { } store)
                store.IsBad = false;
        });
    }

    /// <summary>Whatever the device is at, in a burst too.</summary>
    private void BoardBecomes(FaultPlan faults)
    {
        if (_plug.Device is { InBurst: true } device)
        {
            _count.Add("supply drops out or comes back in a burst");
            device.CatchUp();
        }
        _bench.Becomes(faults);
    }

    private void Unplug(bool anotherReturns)
    {
        if (_plug.IsEmpty)
            return;
        var own = _plug.Device!;
        _plug.Unplug();
        _world.In(TimeSpan.FromMilliseconds(_random.Next(500, 15_000)), null, () =>
        {
            if (_plug.IsEmpty)
                _plug.PlugIn(anotherReturns ? NewDevice("another board") : own);
        });
        if (!anotherReturns)
            return;
        _count.Add("another adapter returned");
        _world.In(TimeSpan.FromSeconds(40), null, () =>
        {
            _plug.Unplug();
            _plug.PlugIn(own);
        });
    }

    private void Kill()
    {
        if (_process is not { IsAlive: true } process)
            return;
        process.Kill();
        _plug.Close();
        _checker.ProcessKilled();
        ComeBack();
    }

    /// <summary>Once, or twice in a row.</summary>
    private void Interrupt()
    {
        var (lastCycle, now) = (_lastCycle, _now);
        _process?.Soon(lastCycle.Cancel);
        if (_random.Next(2) == 0)
        {
            var process = _process;
            _world.In(TimeSpan.FromMilliseconds(_random.Next(1, 3000)), null, () => process?.Soon(now.Cancel));
        }
    }

    private void ComeBack() => _world.In(TimeSpan.FromMilliseconds(_random.Next(100, 20_000)), null, StartProcess);

    private void StartProcess()
    {
        if (++_processes > _scenario.MostProcesses)
        {
            _broken = new BrokenInvariantException($"the run was resumed {_scenario.MostProcesses} times, and never came to its end");
            return;
        }
        _world.Tell($"process {_processes} starts");
        var process = new HostProcess(_world, _wall);
        (_process, _lastCycle, _now) = (process, new(), new());
        process.Start(() => SoakAsync(process), Ended);
    }

    [SuppressMessage("Reliability", "CA2000", Justification = "Kept in a list, and disposed of with the world.")]
    private async Task SoakAsync(HostProcess process)
    {
        var inner = await RunStores.OpenAsync(_file, CancellationToken.None);
        _stores.Add(inner);
        var store = _store = new FaultyStore(inner, _world, process, _checker, _scenario.Store, _random, _count, Kill) { IsBad = !_isQuiet };
        var known = await store.FindAsync(Run, CancellationToken.None);
        var options = new SoakOptions(new(_scenario.Mode, MotorOffConfirmed: true, NoStopInputAcknowledged: true) { Together = _scenario.Together }, null, _scenario.Cycles, null);
        var heading = known?.Heading ?? new RunHeading(
            Run, RunKind.Soak, _board.Name, _source, options.Sweep.On(_board).Mode, process.Time.GetLocalNow(), SoakOptionsJson.Write(options), "simulation");
        if (known is null)
            await store.BeginAsync(heading, CancellationToken.None);
        var soak = new Soak(
            _board, new Attached(_plug, process), SoakOptionsJson.Read(Run, heading.Options), store, process.Time, _random.NextDouble, (_, _) => Diagnosis.None, Logger.None);
        var result = await soak.RunAsync(heading, new Told(_world), _lastCycle.Token, _now.Token);
        _world.Tell($"ended: {result.Ending.Outcome} {result.Ending.Words}");
        _checker.Holds(result, Stored());
        if (result.Ending.Outcome != SoakOutcome.Complete)
            return;
        await store.FinishAsync(result.Session, process.Time.GetLocalNow(), "", "{}", CancellationToken.None);
        _isOver = true;
    }

    /// <summary>What ended the program with a message for people is no bug of it: somebody comes and resumes the run. All else is.</summary>
    private void Ended(Task program)
    {
        _process = null;
        if (program.Exception?.InnerException is { } cause)
        {
            _world.Tell($"ended: {cause.GetType().Name} {cause.Message.Replace(_file, "the file", StringComparison.Ordinal)}");
            if (cause is not (AdapterException or RunStorageException or OperationCanceledException))
            {
                _broken = cause;
                return;
            }
        }
        if (!_isOver)
            ComeBack();
    }

    /// <summary>As another process finds it.</summary>
    private List<CycleRecord> Stored() => CollectAsync().GetAwaiter().GetResult();

    private async Task<List<CycleRecord>> CollectAsync()
    {
        await using var store = await RunStores.OpenAsync(_file, CancellationToken.None);
        return await store.CyclesAsync(Run, 1, CancellationToken.None).ToListAsync();
    }

    private sealed class Attached(Plug plug, HostProcess process) : IAdapterSource
    {
        public async Task<IAdapter> OpenAsync(CancellationToken cancellation) => plug.Open(process) is { } port
            ? await SerialAdapter.OpenAsync(port, LinkPatience.Default, process.Time, cancellation)
            : throw new AdapterException(AdapterFault.Missing, "There is no adapter.");
    }

    private sealed class Told(World world) : IProgress<SoakEvent>
    {
        public void Report(SoakEvent value)
        {
            if (value is not CycleDone)
                world.Tell(value.ToString());
        }
    }
}
