using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Commands;

/// <summary>Keeps what a soak found when it, or a session of it, has ended.</summary>
internal static class SoakRecord
{
    /// <summary>First what ends the run in the store, which has all that is written into the folder as well.</summary>
    /// <param name="keeping">Gets what could not be kept; the rest is.</param>
    /// <returns>The record for other programs.</returns>
    public static async Task<string> KeepAsync(SoakResult result, IRunStore store, TimeProvider time, RunFolder folder, PlotFont font, RecordKeeping keeping)
    {
        var board = new BoardRecord(result.Run.Serial, []);
        var record = SoakJson.Write(result, result.Ending, board);
        if (result.Ending.Outcome is SoakOutcome.Complete or SoakOutcome.EnoughFailures or SoakOutcome.DiskBudgetUsed)
            await keeping.KeepAsync(() => store.FinishAsync(result.Session, time.GetLocalNow(), SoakWords.Verdict(result), record, CancellationToken.None));
        StoredRun? stored = null;
        if (result.Ending.Outcome != SoakOutcome.StoreFailed)
            await keeping.KeepAsync(async () => stored = await store.FindAsync(result.Run.Id, CancellationToken.None));
        // Somebody may have put a note on record meanwhile.
        new RecordFolder(folder, font, keeping, stored is null ? board : BoardRecord.Of(stored)).Write(result, record, result.Ending.Words, stored?.Sessions ?? []);
        return record;
    }
}
