using TestRig.Bench.Files;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;

namespace TestRig.Bench.Showing;

/// <summary>The profile that was kept with a run, as it was then.</summary>
public static class KeptProfile
{
    /// <exception cref="RunStorageException">This version of the program cannot read it.</exception>
    public static Board Read(StoredRun run) => Load(run).Board!;

    /// <summary>With all part types that were kept with it.</summary>
    /// <inheritdoc cref="Read"/>
    public static (Board Board, PartLibrary Library) ReadWithLibrary(StoredRun run)
    {
        var result = Load(run);
        return (result.Board!, result.Library);
    }

    private static ProfileResult Load(StoredRun run)
    {
        var result = ProfileLoader.Load(run.Heading.Profile);
        return result.Errors.IsEmpty
            ? result
            : throw new RunStorageException($"The profile that is kept with run {run.Heading.Id} has errors for this version of testrig, which is not the one that kept it ({run.Heading.Program}): {string.Join("; ", result.Errors)}. Ask with that version.");
    }
}
