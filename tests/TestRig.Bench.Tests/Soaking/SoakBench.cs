using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Adapters;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Soaking;

/// <summary>A soak on a simulated bench, kept in a real store.</summary>
internal sealed class SoakBench : IAsyncDisposable, IAdapterSource, IProgress<SoakEvent>
{
    private readonly string _file;
    private SimulatedTime _time;
    private SimulatedAdapter _bench;
    private readonly Queue<AdapterException> _refusals = [];
    private int _runs;

    private SoakBench(Board board, ProfileSource source, IRunStore store, string file, SimulatedAdapter bench)
    {
        (Board, Store, _file, _bench) = (board, store, file, bench);
        _time = new(bench, Cycles.Started);
        Run = new("night", RunKind.Soak, board.Name, source, ExerciseMode.LogicOnly, Cycles.Started, "{}", "0.1.0") { Simulated = true };
    }

    public Board Board { get; }

    public IRunStore Store { get; }

    public RunHeading Run { get; }

    public List<SoakEvent> Events { get; } = [];

    /// <summary>The run of a program, counted from 1 over all adapters, in which the adapter is gone.</summary>
    public int GoneInRun { get; init; }

    /// <summary>An adapter that comes back says this of itself.</summary>
    public Func<AdapterIdentity, AdapterIdentity> ComesBackAs { get; init; } = same => same;

    /// <summary>Told of every event.</summary>
    public Action<SoakEvent> Told { get; set; } = _ => { };

    public static SoakOptions Cycled(long cycles) => new(new(ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: true), null, cycles, null);

    public static async Task<SoakBench> CreateAsync(string[] faults, int goneInRun = 0, Func<AdapterIdentity, AdapterIdentity>? comesBackAs = null, string profile = "tide-gauge", bool motorSupplyOn = false)
    {
        var loaded = ProfileLoader.Load(Path.Combine(Repository.Root, "profiles", $"{profile}.yaml"), Repository.PartsFolder);
        var file = Path.Combine(TestFolders.Create().FullName, "runs.db");
        var store = await RunStores.OpenAsync(file, CancellationToken.None);
        var bench = new SoakBench(loaded.Board!, loaded.Source!, store, file, FaultyBench.Of(loaded.Board!, 1, faults, motorSupplyOn)) { GoneInRun = goneInRun, ComesBackAs = comesBackAs ?? (same => same) };
        await store.BeginAsync(bench.Run, CancellationToken.None);
        return bench;
    }

    /// <summary>From the next session on nothing is wrong any more.</summary>
    public void Repair()
    {
        _bench = FaultyBench.Of(Board, 1, []);
        _time = new(_bench, _time.GetLocalNow());
    }

    public void TakeStoreAway() => File.Delete(_file);

    /// <summary>So often it is not found before it is back.</summary>
    public void Refuse(int times)
    {
        for (var time = 0; time < times; time++)
            _refusals.Enqueue(new(AdapterFault.Missing, "No adapter: this computer shows no serial port."));
    }

    public Task<SoakResult> SoakAsync(SoakOptions options, CancellationToken lastCycle = default, CancellationToken now = default) =>
        new Soak(Board, this, options, Store, _time, () => 0.5, BoardDiagnosis.Of, Serilog.Core.Logger.None).RunAsync(Run, this, lastCycle, now);

    public async Task<ImmutableArray<CycleRecord>> StoredAsync()
    {
        var cycles = ImmutableArray.CreateBuilder<CycleRecord>();
        await foreach (var cycle in Store.CyclesAsync(Run.Id, 1, CancellationToken.None))
            cycles.Add(cycle);
        return cycles.ToImmutable();
    }

    public Task<IAdapter> OpenAsync(CancellationToken cancellation) =>
        _runs > 0 && _refusals.TryDequeue(out var refusal) ? Task.FromException<IAdapter>(refusal) : Task.FromResult<IAdapter>(new Vanishing(this, _runs == 0 ? _bench.Identity : ComesBackAs(_bench.Identity)));

    public void Report(SoakEvent value)
    {
        Events.Add(value);
        Told(value);
    }

    public ValueTask DisposeAsync() => Store.DisposeAsync();

    private sealed class Vanishing(SoakBench owner, AdapterIdentity identity) : AdapterInFront(owner._bench)
    {
        public override AdapterIdentity Identity => identity;

        public override Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation) => ++owner._runs == owner.GoneInRun
            ? throw new AdapterException(AdapterFault.Unplugged, "The adapter is gone: it was unplugged.")
            : base.RunAsync(program, cancellation);
    }
}
