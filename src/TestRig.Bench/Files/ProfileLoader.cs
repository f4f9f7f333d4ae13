using System.Collections.Immutable;

namespace TestRig.Bench.Files;

/// <summary>Reads a board's profile. What it returns needs no second check.</summary>
public static class ProfileLoader
{
    /// <summary>
    /// Reads the profile at <paramref name="path"/> and the part library at <paramref name="partLibraryFolder"/>. Never throws for bad content or a
    /// missing file: everything that is wrong, in both, is among the errors.
    /// </summary>
    public static ProfileResult Load(string path, string partLibraryFolder)
    {
        var (library, libraryErrors) = PartLibrary.Load(partLibraryFolder);
        var errors = new ErrorList(path);
        var board = ProfileReader.Read(path, errors) is { } document ? BoardBuilder.Build(document, library, errors) : null;
        ImmutableArray<ProfileError> all = [.. errors.InReadingOrder(), .. libraryErrors];
        return new(all.IsEmpty ? board : null, all);
    }
}
