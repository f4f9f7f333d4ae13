using TestRig.Bench.Exercising;
using TestRig.Bench.Plotting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;

namespace TestRig.Commands;

/// <summary>What waveforms of a run are drawn of.</summary>
/// <param name="Cycle">Null of a sweep as a whole.</param>
internal sealed record DrawnRun(StoredRun Run, long? Cycle, SweepResult Sweep)
{
    public PictureHeading Heading => new(Sweep.Board.Name, Sweep.Started, Sweep.Adapter.IsSimulated);

    /// <param name="board">By whose profile.</param>
    /// <param name="cycle">The wanted one; null for a sweep as a whole, and for the first kept cycle of a soak that failed, or else the first that is kept.</param>
    /// <exception cref="BadUsageException">There is nothing to draw of it.</exception>
    public static async Task<DrawnRun> ReadAsync(IRunStore store, StoredRun run, Board board, long? cycle, CancellationToken cancellation)
    {
        if (run.Heading.Kind == RunKind.Sweep && cycle is null)
            return new(run, null, await StoredSweep.ReadAsync(store, run, board, (_, _) => Diagnosis.None, cancellation));
        var kept = await store.KeptAsync(run.Heading.Id, cancellation);
        if (kept.Count == 0)
            throw new BadUsageException([$"No captures of run {run.Heading.Id} are kept: there is nothing to draw."]);
        var entry = cycle is { } number ? kept.FirstOrDefault(entry => entry.Cycle == number) : kept.FirstOrDefault(entry => entry.Reason == KeepReason.Failure) ?? kept[0];
        if (entry is null)
        {
            var nearest = kept.OrderBy(other => Math.Abs(other.Cycle - cycle!.Value)).Take(3).Select(other => SoakWords.Number(other.Cycle)).ToList();
            throw new BadUsageException([$"The captures of cycle {cycle} of run {run.Heading.Id} are not kept. Those of cycle {string.Join(", ", nearest)} are the nearest that are; 'testrig runs judge {run.Heading.Id}' lists all."]);
        }
        return new(run, entry.Cycle, await StoredSoak.SweepOfAsync(store, run, board, entry.Cycle, cancellation));
    }
}
