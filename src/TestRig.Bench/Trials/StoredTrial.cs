using TestRig.Bench.Adapters;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Trials;

namespace TestRig.Bench.Trials;

/// <summary>Keeps a trial part by part, each before the next one is asked for; and reads it again, judged anew from what was measured.</summary>
public sealed class StoredTrial
{
    private readonly IRunStore _store;
    private readonly RunSession _session;

    private StoredTrial(IRunStore store, RunSession session) => (_store, _session) = (store, session);

    /// <summary>The profile with every type that a part may turn out to be, so that suspicions are the same years later.</summary>
    public static ProfileSource SourceOf(ProfileSource profile, PartLibrary library, TrialJudge judge) =>
        profile with { Parts = profile.Parts.SetItems(library.TextsOf(library.Types.Values.OfType<IsolatorType>().Where(judge.Socket.Takes).Select(type => type.Name))) };

    /// <param name="run">Of a name that the store does not have; its options are the trial's.</param>
    /// <param name="empty">At the emitter with nothing in the socket.</param>
    /// <exception cref="RunStorageException">The store takes it not.</exception>
    public static async Task<StoredTrial> BeginAsync(IRunStore store, RunHeading run, IsolatorType claimed, Volts empty, IAdapter adapter, CancellationToken cancellation)
    {
        await store.BeginAsync(run with { Options = new TrialFacts(claimed.Name, empty).ToJson() }, cancellation);
        return new(store, await store.OpenSessionAsync(run.Id, new(run.Started, AdapterJson.Write(adapter), Environment.MachineName, Environment.ProcessId), cancellation));
    }

    /// <summary>A part that was tried, or passed over: durable when this returns.</summary>
    /// <param name="judged">Null of one that was passed over.</param>
    /// <exception cref="RunStorageException">The store takes it not.</exception>
    public Task AppendAsync(TriedPart part, PartTrial? judged, CancellationToken cancellation) =>
        _store.AppendPartAsync(_session, part, violates: judged?.Verdict == TrialVerdict.Violates, cancellation);

    /// <param name="record">Of the trial, as JSON.</param>
    /// <exception cref="RunStorageException">The store takes it not.</exception>
    public async Task FinishAsync(TrialResult result, DateTimeOffset ended, string record, CancellationToken cancellation)
    {
        await _store.EndSessionAsync(_session, ended, result.Ending, cancellation);
        await _store.FinishAsync(_session, ended, TrialWords.Verdict(result), record, cancellation);
    }

    /// <summary>The trial as it was, or as far as it came.</summary>
    /// <param name="board">From the run's own profile.</param>
    /// <param name="library">That was kept with it.</param>
    /// <returns>Null where it was ended before an adapter was at work.</returns>
    /// <exception cref="RunStorageException">It cannot be read.</exception>
    public static async Task<TrialResult?> ReadAsync(IRunStore store, StoredRun run, Board board, PartLibrary library, CancellationToken cancellation)
    {
        if (run.Sessions is not [.., var session])
            return null;
        var judge = JudgeOf(run, board, library);
        var parts = await store.PartsAsync(run.Heading.Id, cancellation);
        return new(
            judge.Board, judge.Claimed, AdapterJson.Of(run.Heading.Id, session).Identity, run.Heading.Started, TrialFacts.Read(run.Heading.Id, run.Heading.Options).Empty,
            BatchTrial.Of([.. parts.Where(part => part.Measured is not null).Select(part => judge.Judge(part.Number, part.Measured!))]),
            [.. parts.Where(part => part.Measured is null).Select(part => part.Number)],
            session.Ended is null ? $"{Words.Capitalised(SoakWords.EndOf(session))}." : session.Words ?? "");
    }

    /// <param name="board">From the run's own profile.</param>
    /// <param name="library">That was kept with it.</param>
    /// <exception cref="RunStorageException">It cannot be read.</exception>
    public static TrialJudge JudgeOf(StoredRun run, Board board, PartLibrary library)
    {
        var type = TrialFacts.Read(run.Heading.Id, run.Heading.Options).Type;
        return library.Types.GetValueOrDefault(type) is IsolatorType claimed
            ? TrialRun.JudgeOf(board, claimed, library)
            : throw new RunStorageException($"Run {run.Heading.Id} was kept without the data of {type}, by which its parts are judged: restore the store from a backup, or delete the run.");
    }
}
