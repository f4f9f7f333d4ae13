using System.Collections.Immutable;
using System.Diagnostics;
using System.Globalization;
using TestRig.Bench.Exercising;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;
using TestRig.Tests.Shared;

namespace TestRig.Benchmarks;

/// <summary>
/// Benches that write to stores of their own and bring it to one PostgreSQL server on this machine, which forces to the disk what it has promised. A bench has a disk of its own; this machine has one for all, so the benches' files are in memory.
/// </summary>
internal static class SharedStore
{
    public const string FiftyName = "shared store: fifty services, each of ten cycles a second for a minute";

    private const int Services = 50, CyclesEach = 600;

    /// <summary>Of a comparison's round.</summary>
    private const int CyclesAtOnce = 200;

    private static readonly TimeSpan _period = TimeSpan.FromMilliseconds(100);

    /// <summary>Until the program ends.</summary>
    private static readonly Lazy<Task<Uri>> _server = new(() => new PrivatePostgres(durable: true).StartAsync());

    private static readonly DateTimeOffset _start = new(2026, 11, 29, 18, 0, 0, TimeSpan.Zero);

    public static IEnumerable<Comparison> All =>
    [
        new("shared store: cycles by way of the local store until all are shared, speed as a share of appending each there", RatioKind.ShareOfYardstick, null, () => PrepareAsync().GetAwaiter().GetResult()),
    ];

    public static string MeasureFifty() => MeasureFiftyAsync().GetAwaiter().GetResult();

    private static async Task<string> MeasureFiftyAsync()
    {
        // SQLite has no asynchronous calls, so each service of this one process takes a thread while it writes; as a process of its own it would have one.
        ThreadPool.SetMinThreads(3 * Services, 3 * Services);
        var folder = TestFolders.CreateInMemory();
        var address = (await _server.Value).AbsoluteUri;
        using var stop = new CancellationTokenSource();
        var services = await Task.WhenAll(Enumerable.Range(0, Services).Select(number => Service.OpenAsync(folder, address, FormattableString.Invariant($"fifty-{number}"))));
        // All begin at once, as by a schedule; what comes after is timed by itself.
        var beginning = Stopwatch.StartNew();
        var copying = services.Select(service => Task.Run(() => service.Spool.CopyAsync(service, stop.Token))).ToList();
        await Task.WhenAll(services.Select(service => Task.Run(service.BeginAsync)));
        var begun = beginning.Elapsed;
        using var process = Process.GetCurrentProcess();
        var (busy, clock) = (process.TotalProcessorTime, Stopwatch.StartNew());
        await Task.WhenAll(services.Select((service, number) => Task.Run(() => service.WriteAsync(CyclesEach, _period * number / Services, _period))));
        var written = clock.Elapsed;
        await Task.WhenAll(services.Select(service => service.HandedOver));
        process.Refresh();
        var (share, all) = ((process.TotalProcessorTime - busy) / (clock.Elapsed * Environment.ProcessorCount), clock.Elapsed);
        await stop.CancelAsync();
        await Task.WhenAll(copying);
        var (lost, twice) = await CountAsync(address, services);
        foreach (var service in services)
            await service.Spool.DisposeAsync();
        var ways = services.SelectMany(service => service.OnTheWay).Order().ToList();
        var waits = services.SelectMany(service => service.Waits).Order().ToList();
        return string.Create(
            CultureInfo.InvariantCulture,
            $"""
            {FiftyName}: {lost} lost, {twice} there twice (goal 0 {(lost + twice == 0 ? "met" : "MISSED")}) of {Services * CyclesEach} cycles; all had begun there in {begun.TotalSeconds:0.0} s; written in {written.TotalSeconds:0.0} s and all there after {all.TotalSeconds:0.0} s; from stored locally to durable there {Spread(ways)}; an append waits {Spread(waits)}; the services take {share:0%} of {Environment.ProcessorCount} processors, without the server
            """);
    }

    /// <summary>As the shared store has them, by their numbers.</summary>
    private static async Task<(int Lost, int Twice)> CountAsync(string address, Service[] services)
    {
        await using var store = await RunStores.OpenAsync(address, CancellationToken.None);
        var (lost, twice) = (0, 0);
        foreach (var service in services)
        {
            var numbers = new List<long>();
            await foreach (var cycle in store.CyclesAsync(service.Run, 1, CancellationToken.None))
                numbers.Add(cycle.Number);
            lost += CyclesEach - numbers.Distinct().Count(number => number is >= 1 and <= CyclesEach);
            twice += numbers.Count - numbers.Distinct().Count();
        }
        return (lost, twice);
    }

    private static string Spread(List<TimeSpan> sorted) => string.Create(
        CultureInfo.InvariantCulture,
        $"{sorted[sorted.Count / 2].TotalMilliseconds:0.0} ms in the middle, {sorted[(int)(sorted.Count * 0.99)].TotalMilliseconds:0.0} ms in 99 of 100, {sorted[^1].TotalMilliseconds:0.0} ms at most");

    private static async Task<Contest> PrepareAsync()
    {
        var address = (await _server.Value).AbsoluteUri;
        var service = await Service.OpenAsync(TestFolders.CreateInMemory(), address, "one");
        var copying = Task.Run(() => service.Spool.CopyAsync(service, CancellationToken.None));
        var direct = await RunStores.OpenAsync(address, CancellationToken.None);
        var runs = 0;
        return new(
            () => ThroughAsync().GetAwaiter().GetResult(),
            () => WriteAsync(direct, FormattableString.Invariant($"direct-{++runs}")).GetAwaiter().GetResult());

        async Task ThroughAsync()
        {
            service.Begin(FormattableString.Invariant($"through-{++runs}"), CyclesAtOnce);
            await WriteAsync(service.Spool.Runs, service.Run);
            await await Task.WhenAny(service.HandedOver, copying);
            if (await direct.FindAsync(service.Run, CancellationToken.None) is not { Cycles: CyclesAtOnce, Ended: not null })
                throw new InvalidOperationException($"{service.Run} is not there as it was written.");
        }

        static async Task WriteAsync(IRunStore store, string run)
        {
            var session = await BeginAsync(store, run);
            for (var number = 1; number <= CyclesAtOnce; number++)
                await store.AppendAsync(session, CycleOf(number, new(number)), ImmutableDictionary<long, KeptCycle>.Empty, CancellationToken.None);
            await store.FinishAsync(session, _start, "done", "{}", CancellationToken.None);
        }
    }

    private static async Task<RunSession> BeginAsync(IRunStore store, string run)
    {
        await store.BeginAsync(
            new(run, RunKind.Soak, "Some board", new("some.yaml", "name: Some board\n", ImmutableSortedDictionary<string, string>.Empty), ExerciseMode.LogicOnly, _start, "{}", "benchmark") { Simulated = true }, CancellationToken.None);
        return await store.OpenSessionAsync(run, new(_start, "{}", "benchmark", Environment.ProcessId), CancellationToken.None);
    }

    /// <summary>Six channels with five figures each, as they vary from cycle to cycle; one cycle of fifty has a channel that fails.</summary>
    private static CycleRecord CycleOf(long number, Random random)
    {
        var fails = number % 50 == 0;
        return new(
            number, _start + (number * _period), _period, SweepOutcome.Complete, "",
            [.. Enumerable.Range(1, 6).Select(channel => fails && channel == 3 ? new CycleChannel("channel-3", Condition.Dead, "OK3: never conducts.") : new(FormattableString.Invariant($"channel-{channel}"), Condition.Working, null))], [],
            [.. Enumerable.Range(1, 6).SelectMany(channel => Enumerable.Range(1, 5).Select(point => new CycleFigure(
                new(FormattableString.Invariant($"channel-{channel}"), FormattableString.Invariant($"U{point}.18"), Expectation.Rises, FigureKind.Delay), 5_000_000 + random.Next(500_000), 1_000_000, 9_000_000)))]);
    }

    /// <summary>One bench: its spool, the run that it writes, and when each cycle was durable where.</summary>
    private sealed class Service : IProgress<SpoolEvent>
    {
        private TaskCompletionSource _handedOver = new();
        private long[] _here = [];
        private long[] _there = [];
        private long _shared;
        private RunSession? _session;
        private TaskCompletionSource _begun = new();

        private Service(RunSpool spool) => Spool = spool;

        public RunSpool Spool { get; }

        public string Run { get; private set; } = "";

        public Task HandedOver => _handedOver.Task;

        /// <summary>How long each append took.</summary>
        public List<TimeSpan> Waits { get; } = [];

        /// <summary>From durable here to durable there.</summary>
        public IEnumerable<TimeSpan> OnTheWay => _here.Zip(_there, (here, there) => TimeSpan.FromTicks(Math.Max(0, Stopwatch.GetElapsedTime(here, there).Ticks)));

        public static async Task<Service> OpenAsync(DirectoryInfo folder, string address, string name)
        {
            var service = new Service(await RunSpool.OpenAsync(Path.Combine(folder.FullName, $"{name}.db"), address, name, TimeProvider.System, Random.Shared.NextDouble, CancellationToken.None));
            service.Begin(name, CyclesEach);
            return service;
        }

        public void Begin(string run, int cycles)
        {
            (Run, _shared, _here, _there) = (run, 0, new long[cycles], new long[cycles]);
            _begun = new(TaskCreationOptions.RunContinuationsAsynchronously);
            _handedOver = new(TaskCreationOptions.RunContinuationsAsynchronously);
        }

        /// <summary>Until the shared store has the run.</summary>
        public async Task BeginAsync()
        {
            _session = await SharedStore.BeginAsync(Spool.Runs, Run);
            await _begun.Task;
        }

        public async Task WriteAsync(int cycles, TimeSpan after, TimeSpan period)
        {
            var random = new Random(1);
            var session = _session!;
            await Task.Delay(after);
            using var beat = new PeriodicTimer(period);
            for (var number = 1; number <= cycles; number++)
            {
                await beat.WaitForNextTickAsync();
                var asked = Stopwatch.GetTimestamp();
                await Spool.Runs.AppendAsync(session, CycleOf(number, random), ImmutableDictionary<long, KeptCycle>.Empty, CancellationToken.None);
                _here[number - 1] = Stopwatch.GetTimestamp();
                Waits.Add(Stopwatch.GetElapsedTime(asked, _here[number - 1]));
            }
            await Spool.Runs.FinishAsync(session, _start, "done", "{}", CancellationToken.None);
        }

        public void Report(SpoolEvent value)
        {
            if (value is RunCopied copied && copied.Run == Run)
            {
                _begun.TrySetResult();
                for (; _shared < copied.Cycles; _shared++)
                    _there[_shared] = Stopwatch.GetTimestamp();
            }
            else if (value == new RunHandedOver(Run))
            {
                _handedOver.TrySetResult();
            }
        }
    }
}
