using TestRig.Bench.Files;

namespace TestRig.Bench.Storage;

/// <summary>Reads what is kept of a profile. <see cref="ProfileLoader"/> makes a board of it again, without the files.</summary>
public static class ProfileSources
{
    /// <summary>The profile at <paramref name="path"/> with the part types that it names, of the folder "parts" beside it or else of the library.</summary>
    /// <exception cref="RunStorageException">The profile, or a part file, cannot be read or has errors.</exception>
    public static ProfileSource Read(string path, string partLibraryFolder)
    {
        var result = ProfileLoader.Load(path, partLibraryFolder);
        return result.Source ?? throw new RunStorageException($"A run of {path} cannot be stored: {result.Errors[0]}.");
    }
}
