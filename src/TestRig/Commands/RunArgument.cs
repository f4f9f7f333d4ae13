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
}
