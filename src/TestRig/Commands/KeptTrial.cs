using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Showing;
using TestRig.Bench.Storage;
using TestRig.Bench.Trials;

namespace TestRig.Commands;

/// <summary>A trial with all that is on record of it: when it ends, and years later from the store.</summary>
/// <param name="Socket">What is on record of the socket, and was noted of the run.</param>
internal sealed record KeptTrial(RunHeading Run, TrialResult Result, BoardRecord Socket)
{
    /// <summary>What <see cref="WriteTo"/> writes, for people.</summary>
    public const string Files = "trial.html, trial.json";

    /// <summary>The record for other programs.</summary>
    public string Record => TrialJson.Write(Result, Run.Id, Run.Profile.Path, Socket);

    /// <exception cref="RunQuestionException">Nothing was tried in it.</exception>
    /// <exception cref="RunStorageException">It cannot be read.</exception>
    public static async Task<KeptTrial> ReadAsync(IRunStore store, StoredRun run, CancellationToken cancellation)
    {
        var (board, library) = KeptProfile.ReadWithLibrary(run);
        return await StoredTrial.ReadAsync(store, run, board, library, cancellation) is { } result
            ? new(run.Heading, result, BoardRecord.Of(run))
            : throw new RunQuestionException($"Run {run.Heading.Id} never came to its first part: there is nothing to tell.", unknown: true);
    }

    /// <param name="keeping">Gets what could not be written; the rest is.</param>
    public void WriteTo(RunFolder folder, RecordKeeping keeping)
    {
        keeping.Keep(() => folder.Write("trial.json", Record));
        keeping.Keep(() => folder.Write("trial.html", TrialPage.Write(Result, Run.Profile.Path, Socket)));
    }
}
