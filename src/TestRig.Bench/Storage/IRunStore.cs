using TestRig.Bench.Files;

namespace TestRig.Bench.Storage;

/// <summary>
/// Where runs are kept. What a method has returned from is durable. Every method throws <see cref="RunStorageException"/> when the store cannot be reached, is full, or holds what cannot be read; nothing is half
/// written then.
/// </summary>
public interface IRunStore : IAsyncDisposable
{
    /// <summary>Where it is, for people: without a password.</summary>
    string Place { get; }

    /// <exception cref="RunStorageException">There is a run of this name.</exception>
    Task BeginAsync(RunHeading run, CancellationToken cancellation);

    /// <summary>Opens the next session of a run; whatever still appends to an earlier one is refused from now on.</summary>
    /// <exception cref="RunStorageException">The run has come to its end.</exception>
    Task<RunSession> OpenSessionAsync(string run, SessionHeading session, CancellationToken cancellation);

    /// <summary>Appends one cycle, and the captures that are to be kept of it or of cycles before it, all or nothing.</summary>
    /// <param name="cycle">Its number is the next one of the run. Of each key at most one figure; they are read back in the order in which the run's series began, with the limits that each had first.</param>
    /// <param name="kept">By cycle number; none later than the cycle's own. They take the place of captures that are kept of the same cycle already.</param>
    /// <returns>Bytes that the captures of each kept cycle take.</returns>
    /// <exception cref="RunStorageException">Another session has been opened since: another process goes on with this run. Or the number does not follow. Nothing was appended.</exception>
    Task<IReadOnlyDictionary<long, long>> AppendAsync(RunSession session, CycleRecord cycle, IReadOnlyDictionary<long, KeptCycle> kept, CancellationToken cancellation);

    /// <summary>Keeps captures of cycles that were appended before.</summary>
    /// <inheritdoc cref="AppendAsync"/>
    Task<IReadOnlyDictionary<long, long>> KeepAsync(RunSession session, IReadOnlyDictionary<long, KeptCycle> kept, CancellationToken cancellation);

    /// <summary>Appends one part of a trial, tried or passed over, all or nothing.</summary>
    /// <param name="part">Its number is the next one of the run.</param>
    /// <param name="violates">Whether it is counted among those that violate a limit.</param>
    /// <exception cref="RunStorageException">Another session has been opened since: another process goes on with this run. Or the number does not follow. Nothing was appended.</exception>
    Task AppendPartAsync(RunSession session, TriedPart part, bool violates, CancellationToken cancellation);

    /// <summary>Forgets captures, not summaries. Cycles of which none are kept are no error.</summary>
    /// <returns>Bytes that they took.</returns>
    Task<long> ForgetCapturesAsync(string run, IReadOnlyCollection<long> cycles, CancellationToken cancellation);

    /// <summary>Says how a session ended. Of one that ended already, nothing changes.</summary>
    Task EndSessionAsync(RunSession session, DateTimeOffset ended, string words, CancellationToken cancellation);

    /// <summary>The run has come to its end, and is not to be resumed. So has its session, in the verdict's words, where nothing has been said of its end.</summary>
    /// <param name="record">The record of the run for other programs, as JSON.</param>
    Task FinishAsync(RunSession session, DateTimeOffset ended, string verdict, string record, CancellationToken cancellation);

    /// <summary>Adds a note to a run, ended or not.</summary>
    Task AddNoteAsync(string run, RunNote note, CancellationToken cancellation);

    /// <summary>Which channels of a run failed, how, and how often: by channel, then the most frequent condition first.</summary>
    Task<IReadOnlyList<ChannelFailures>> FailuresAsync(string run, CancellationToken cancellation);

    /// <summary>All runs, the latest first.</summary>
    Task<IReadOnlyList<StoredRun>> ListAsync(RunFilter filter, CancellationToken cancellation);

    /// <summary>The run of this name; null when there is none.</summary>
    Task<StoredRun?> FindAsync(string run, CancellationToken cancellation);

    /// <summary>The record of a run for other programs, as JSON; null until it came to its end.</summary>
    Task<string?> RecordAsync(string run, CancellationToken cancellation);

    /// <summary>In order, from a cycle on.</summary>
    IAsyncEnumerable<CycleRecord> CyclesAsync(string run, long from, CancellationToken cancellation);

    /// <summary>The parts of a trial, in order; none of another run.</summary>
    Task<IReadOnlyList<TriedPart>> PartsAsync(string run, CancellationToken cancellation);

    /// <summary>Numbers of the cycles whose captures are kept, with the reason and the bytes, in order.</summary>
    Task<IReadOnlyList<KeptEntry>> KeptAsync(string run, CancellationToken cancellation);

    /// <summary>The captures of a cycle, for a board: of the run's own profile, or a changed one. Exercises of channels, or together with channels, that the board does not have are left out.</summary>
    /// <returns>Null when none are kept of it.</returns>
    Task<KeptCycle?> ReadKeptAsync(string run, long cycle, Core.Boards.Board board, CancellationToken cancellation);

    /// <summary>Deletes a run with all that belongs to it.</summary>
    Task DeleteAsync(string run, CancellationToken cancellation);
}
