using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Showing;

/// <summary>The record of a kept run of channels for other programs.</summary>
public static class KeptRecord
{
    /// <summary>Of a sweep as it was kept, of a soak as it is now; of a run that has neither yet what a list of runs says of it.</summary>
    /// <param name="findings">Null of a run that never came to drive anything.</param>
    /// <returns>JSON.</returns>
    /// <exception cref="Files.RunStorageException">It cannot be read.</exception>
    public static async Task<string> ReadAsync(IRunStore store, StoredRun run, SoakFindings? findings, CancellationToken cancellation) =>
        (run.Heading.Kind == RunKind.Sweep ? await store.RecordAsync(run.Heading.Id, cancellation) : findings is null ? null : SoakJson.Write(findings, ending: null, BoardRecord.Of(run)))
        ?? RunsJson.Write([run]);
}
