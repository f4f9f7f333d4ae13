using TestRig.Bench.Showing;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Comparing;

/// <summary>Two kept runs, to be compared.</summary>
public static class ComparedRuns
{
    /// <param name="before">Of channels.</param>
    /// <param name="after">Of channels.</param>
    /// <exception cref="RunQuestionException">There is nothing in them that could be compared.</exception>
    /// <exception cref="Files.RunStorageException">One cannot be read.</exception>
    public static async Task<RunComparison> ReadAsync(IRunStore store, StoredRun before, StoredRun after, CancellationToken cancellation)
    {
        var (earlier, later) = (await FiguresAsync(store, before, cancellation), await FiguresAsync(store, after, cancellation));
        var comparison = RunComparison.Of(earlier, later);
        return !comparison.Channels.IsEmpty
            ? comparison
            : throw new RunQuestionException($"Runs {before.Heading.Id} ({earlier.Board.Name}) and {after.Heading.Id} ({later.Board.Name}) have no channel in common: there is nothing to compare.", unknown: false);
    }

    private static async Task<RunFigures> FiguresAsync(IRunStore store, StoredRun run, CancellationToken cancellation)
    {
        if (run.Heading.Kind == RunKind.Trial)
            throw new RunQuestionException($"Run {run.Heading.Id} is a trial of parts: it has no channels that could be compared.", unknown: false);
        if (CapturedRun.WatchedIdle(run))
            throw new RunQuestionException($"Run {run.Heading.Id} watched idle lines: nothing was exercised in it that could be compared.", unknown: false);
        return await RunFigures.ReadAsync(store, run, KeptProfile.Read(run), cancellation)
            ?? throw new RunQuestionException($"Run {run.Heading.Id} never came to finish a cycle: there is nothing to compare.", unknown: false);
    }
}
