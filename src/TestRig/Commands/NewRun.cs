using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>Keeps what a command found as a new run of the store.</summary>
internal static class NewRun
{
    /// <summary>The heading of a run that this program begins.</summary>
    /// <param name="wanted">Its name, where the store has none of it.</param>
    /// <param name="serial">The board's serial number; null where it is not on record.</param>
    public static async Task<RunHeading> HeadingAsync(
        IRunStore store, string wanted, RunKind kind, Board board, ProfileSource source, ExerciseMode mode, DateTimeOffset started, bool simulated, string? serial, CancellationToken cancellation) =>
        new(await RunNames.FreeAsync(store, wanted, cancellation), kind, board.Name, source, mode, started, Options: "", ProgramVersion.Text) { Simulated = simulated, Serial = serial };

    /// <param name="wanted">Its name, where the store has none of it.</param>
    /// <param name="pins">Of the adapter.</param>
    /// <param name="record">For other programs.</param>
    /// <exception cref="Bench.Files.RunStorageException">The store takes it not.</exception>
    public static async Task KeepAsync(IRunStore store, string wanted, ProfileSource source, SweepResult sweep, ImmutableArray<AdapterPin> pins, DateTimeOffset ended, string record, string? serial)
    {
        var heading = await HeadingAsync(store, wanted, RunKind.Sweep, sweep.Board, source, sweep.Mode, sweep.Started, sweep.Adapter.IsSimulated, serial, CancellationToken.None);
        await StoredSweep.KeepAsync(store, heading, sweep, pins, ended, record, CancellationToken.None);
    }
}
