using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Soaking;

/// <summary>Keeps one sweep: a run of one cycle, all of whose captures are kept.</summary>
public static class StoredSweep
{
    /// <param name="run">Of a name that the store does not have.</param>
    /// <param name="record">Of the sweep, as JSON.</param>
    /// <exception cref="RunStorageException">The store takes it not.</exception>
    public static async Task KeepAsync(IRunStore store, RunHeading run, SweepResult result, IAdapter adapter, DateTimeOffset ended, string record, CancellationToken cancellation)
    {
        await store.BeginAsync(run, cancellation);
        var session = await store.OpenSessionAsync(run.Id, new(run.Started, AdapterJson.Write(adapter), Environment.MachineName, Environment.ProcessId), cancellation);
        var cycle = CycleRecords.Of(1, result, run.Started, ended - run.Started);
        await store.AppendAsync(session, cycle, new Dictionary<long, KeptCycle> { [1] = CycleRecords.Kept(cycle.Failed ? KeepReason.Failure : KeepReason.First, result) }, cancellation);
        await store.FinishAsync(session, ended, Words.Verdict(result), record, cancellation);
    }
}
