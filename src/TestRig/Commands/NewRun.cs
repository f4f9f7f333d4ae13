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
        Heading(await RunNames.FreeAsync(store, wanted, cancellation), kind, board, source, mode, started, simulated, serial);

    /// <summary>The same of a name that is free.</summary>
    public static RunHeading Heading(string name, RunKind kind, Board board, ProfileSource source, ExerciseMode mode, DateTimeOffset started, bool simulated, string? serial) =>
        new(name, kind, board.Name, source, mode, started, Options: "", ProgramVersion.Text) { Simulated = simulated, Serial = serial };

    /// <param name="wanted">Its name, where the store has none of it.</param>
    /// <param name="pins">Of the adapter.</param>
    /// <param name="record">For other programs.</param>
    /// <exception cref="Bench.Files.RunStorageException">The store takes it not.</exception>
    public static async Task KeepAsync(IRunStore store, string wanted, ProfileSource source, SweepResult sweep, ImmutableArray<AdapterPin> pins, DateTimeOffset ended, string record, string? serial) =>
        await KeepAsAsync(store, await RunNames.FreeAsync(store, wanted, CancellationToken.None), source, sweep, pins, ended, record, serial);

    /// <param name="name">Which is free.</param>
    /// <inheritdoc cref="KeepAsync"/>
    public static Task KeepAsAsync(IRunStore store, string name, ProfileSource source, SweepResult sweep, ImmutableArray<AdapterPin> pins, DateTimeOffset ended, string record, string? serial) => StoredSweep.KeepAsync(
        store, Heading(name, RunKind.Sweep, sweep.Board, source, sweep.Mode, sweep.Started, sweep.Adapter.IsSimulated, serial), sweep, pins, ended, record, CancellationToken.None);
}
