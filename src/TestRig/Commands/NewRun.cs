using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Commands;

/// <summary>Keeps what a command found as a new run of the store.</summary>
internal static class NewRun
{
    /// <param name="wanted">Its name, where the store has none of it.</param>
    /// <param name="pins">Of the adapter.</param>
    /// <param name="record">For other programs.</param>
    /// <exception cref="Bench.Files.RunStorageException">The store takes it not.</exception>
    public static async Task KeepAsync(IRunStore store, string wanted, ProfileSource source, SweepResult sweep, ImmutableArray<AdapterPin> pins, DateTimeOffset ended, string record, string? serial)
    {
        var name = await RunNames.FreeAsync(store, wanted, CancellationToken.None);
        var heading = new RunHeading(name, RunKind.Sweep, sweep.Board.Name, source, sweep.Mode, sweep.Started, "", ProgramVersion.Text) { Simulated = sweep.Adapter.IsSimulated, Serial = serial };
        await StoredSweep.KeepAsync(store, heading, sweep, pins, ended, record, CancellationToken.None);
    }
}
