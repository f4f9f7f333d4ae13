using TestRig.Bench.Reporting;
using TestRig.Bench.Serving;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Service;

/// <summary>Where the service keeps its runs: a file of its own, or a server that it shares with other services. In the latter case each run is written to a file of its own first, so that nothing hangs from the server.</summary>
internal sealed class ServiceStore : IAsyncDisposable
{
    private readonly IRunStore? _own;

    private ServiceStore(IRunStore? own, RunSpool? spool) => (_own, Spool) = (own, spool);

    public IRunStore Runs => Spool?.Runs ?? _own!;

    /// <summary>Null where the store is a file.</summary>
    public RunSpool? Spool { get; }

    /// <exception cref="Bench.Files.RunStorageException">The file cannot be written.</exception>
    public static async Task<ServiceStore> OpenAsync(ServiceSettings settings, TimeProvider time, CancellationToken cancellation) => settings.HasSharedStore
        // Services that lost the server together are not to come back together.
        ? new(null, await RunSpool.OpenAsync(Path.Combine(settings.State, "spool.db"), settings.Store!, settings.Name, time, Random.Shared.NextDouble, cancellation))
        : new(await RunStores.OpenAsync(settings.Store, cancellation), null);

    /// <summary>What people have to know of it; null where nothing is wrong.</summary>
    public string? Notice => Spool?.State switch
    {
        { AwaySince: { } since } away => $"The shared run store is away since {Words.At(since)}; {SoakWords.Cycles(away.CyclesWaiting)} of this service wait for it here, and nothing is lost. {away.Words}",
        { Refused: { IsEmpty: false } refused } => $"{Words.Count(refused.Count, "run")} cannot be brought to the shared run store: {string.Join(" ", refused.Values)}",
        _ => null,
    };

    /// <summary>A name for a new run that no other has.</summary>
    public Task<string> FreeNameAsync(string wanted, CancellationToken cancellation) => Spool?.FreeNameAsync(wanted, cancellation) ?? RunNames.FreeAsync(_own!, wanted, cancellation);

    public ValueTask DisposeAsync() => Spool?.DisposeAsync() ?? _own!.DisposeAsync();
}
