using TestRig.Bench.Storage;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Storage;

/// <summary>Several benches share a server that is killed while they write. It is a server of these tests alone, and forces nothing to the disk: what a killed process has written is the system's already.</summary>
public sealed class KilledServerTests : IAsyncLifetime, IDisposable
{
    private const int Benches = 4, Kills = 3;

    private readonly PostgresServer _server = new();

    public Task InitializeAsync() => _server.InitializeAsync();

    public Task DisposeAsync() => _server.DisposeAsync();

    public void Dispose() => _server.Dispose();

    [Fact]
    public async Task Of_a_server_that_is_killed_while_several_benches_write_no_cycle_is_lost_and_none_is_there_twice()
    {
        var shared = await _server.NewDatabaseAsync();
        using var stop = new CancellationTokenSource();
        var benches = await Task.WhenAll(Enumerable.Range(1, Benches).Select(number => BenchAsync(number, shared, stop.Token)));
        foreach (var _ in Enumerable.Range(0, Kills))
        {
            var before = benches.Select(bench => bench.Allowed).ToList();
            foreach (var bench in benches)
                bench.Allow(200);
            // In the middle of it: each has some of these cycles there, and hardly all.
            await Task.WhenAll(benches.Zip(before).Select(one => one.First.Watch.UntilCopiedAsync(one.First.Run, one.Second + 20)));
            await _server.KillAsync();
            foreach (var bench in benches)
                bench.Allow(100);
            // The benches go on all the same.
            await Task.WhenAll(benches.Select(bench => bench.WrittenAsync()));
            await Task.WhenAll(benches.Select(bench => bench.Watch.UntilStateAsync(state => !state.Reachable)));
            await _server.StartAgainAsync();
        }
        await Task.WhenAll(benches.Select(bench => bench.EndAsync()));
        await Task.WhenAll(benches.Select(bench => bench.Watch.UntilHandedOverAsync(bench.Run)));
        await stop.CancelAsync();
        await Task.WhenAll(benches.Select(bench => bench.Copying));

        await using var store = await RunStores.OpenAsync(shared.AbsoluteUri, CancellationToken.None);
        Assert.Equal(Benches, (await store.ListAsync(new(), CancellationToken.None)).Count);
        foreach (var bench in benches)
        {
            Assert.Equal(Enumerable.Range(1, Kills * 300).Select(number => SomeRun.Text(Bench.Cycle(number))), (await store.CyclesAsync(bench.Run)).Select(SomeRun.Text));
            var run = (await store.FindAsync(bench.Run, CancellationToken.None))!;
            Assert.Equal((Kills * 300, Kills * 3, "done"), (run.Cycles, run.FailedCycles, run.Verdict));
            Assert.Equal(Enumerable.Range(1, Kills * 3).Select(number => number * 100L), (await store.KeptAsync(bench.Run, CancellationToken.None)).Select(kept => kept.Cycle));
            await using var local = await RunStores.OpenAsync(bench.Local, CancellationToken.None);
            Assert.Empty(await local.ListAsync(new(), CancellationToken.None));
            await bench.Spool.DisposeAsync();
            bench.Dispose();
        }
    }

    private static async Task<Bench> BenchAsync(int number, Uri shared, CancellationToken stop)
    {
        var local = Path.Combine(TestFolders.CreateInMemory().FullName, "local.db");
        var bench = new Bench($"run-{number}", local, await RunSpool.OpenAsync(local, shared.AbsoluteUri, $"bench-{number}", TimeProvider.System, () => 0.5, CancellationToken.None));
        bench.Start(stop);
        return bench;
    }

    /// <summary>Writes one run as fast as it is allowed to.</summary>
    private sealed class Bench(string run, string local, RunSpool spool) : IDisposable
    {
        private readonly Lock _lock = new();
        private readonly SemaphoreSlim _allowed = new(0);
        private TaskCompletionSource _written = new();
        private Task<RunSession> _writing = null!;
        private long _done;

        public string Run => run;

        public string Local => local;

        public RunSpool Spool => spool;

        public SpoolWatch Watch { get; } = new();

        public Task Copying { get; private set; } = Task.CompletedTask;

        public long Allowed { get; private set; }

        private bool IsLast { get; set; }

        public static CycleRecord Cycle(long number) => number % 100 == 0 ? SomeRun.FailedCycle(number) : SomeRun.Cycle(number);

        public void Start(CancellationToken stop)
        {
            Copying = Task.Run(() => spool.CopyAsync(Watch, stop), CancellationToken.None);
            _writing = Task.Run(WriteAsync, CancellationToken.None);
        }

        public void Allow(int cycles)
        {
            lock (_lock)
            {
                Allowed += cycles;
                _written = new(TaskCreationOptions.RunContinuationsAsynchronously);
            }
            _allowed.Release(cycles);
        }

        /// <summary>Until all is written that was allowed.</summary>
        public async Task WrittenAsync()
        {
            Task written;
            lock (_lock)
                written = _written.Task;
            // Where the writer fails, it is the writer's error that is told.
            await await Task.WhenAny(written, _writing);
        }

        public void Dispose() => _allowed.Dispose();

        public async Task EndAsync()
        {
            IsLast = true;
            _allowed.Release();
            await spool.Runs.FinishAsync(await _writing, SomeRun.Start, "done", "{}", CancellationToken.None);
        }

        private async Task<RunSession> WriteAsync()
        {
            var session = await spool.Runs.BeginAsync(run);
            while (true)
            {
                await _allowed.WaitAsync();
                if (IsLast)
                    return session;
                var cycle = Cycle(_done + 1);
                await spool.Runs.AppendAsync(session, cycle, cycle.Failed ? new Dictionary<long, KeptCycle> { [cycle.Number] = new(KeepReason.Failure, [], []) } : SomeRun.NothingKept, CancellationToken.None);
                lock (_lock)
                {
                    if (++_done == Allowed)
                        _written.TrySetResult();
                }
            }
        }
    }
}
