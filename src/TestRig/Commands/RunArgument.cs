using System.CommandLine;
using TestRig.Bench.Storage;

namespace TestRig.Commands;

/// <summary>RUN: a run that the store keeps.</summary>
internal static class RunArgument
{
    public static Argument<string> Create() => new("RUN") { Description = "The run, by its name." };

    /// <exception cref="BadUsageException">There is none of this name.</exception>
    public static async Task<StoredRun> FindAsync(IRunStore store, string name, CancellationToken cancellation) =>
        await store.FindAsync(name, cancellation) ?? throw new BadUsageException([$"There is no run '{name}' in {store.Place}. See 'testrig runs list'."]);

    /// <summary>A run of a board's channels.</summary>
    /// <exception cref="BadUsageException">There is none of this name, or it is a trial of parts.</exception>
    public static async Task<StoredRun> FindOfChannelsAsync(IRunStore store, string name, CancellationToken cancellation)
    {
        var run = await FindAsync(store, name, cancellation);
        return run.Heading.Kind != RunKind.Trial
            ? run
            : throw new BadUsageException([$"Run {name} is a trial of parts: it has no channels and no captures. 'testrig runs show {name}' tells its parts, 'testrig report {name}' writes their page, 'testrig runs export {name} --to FILE.csv' their figures."]);
    }
}
