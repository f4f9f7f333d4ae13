using System.Collections.Immutable;

namespace TestRig.Bench.Files;

/// <summary>Reads a board's profile. What it returns needs no second check.</summary>
public static class ProfileLoader
{
    /// <summary>
    /// Reads the profile at <paramref name="path"/>, the folder "parts" beside it where there is one, and the part library at
    /// <paramref name="partLibraryFolder"/>; a part type in the former hides one of the same name in the latter. Never throws for bad content or a
    /// missing file: everything that is wrong, in all of them, is among the errors.
    /// </summary>
    public static ProfileResult Load(string path, string partLibraryFolder) => Load(path, partLibraryFolder, errors => DocumentReader.Read(path, errors));

    /// <summary>Reads a text as if it were the content of the profile at <paramref name="path"/>, which need not be there: whether a profile that is yet to be written has errors.</summary>
    /// <inheritdoc cref="Load(string, string)"/>
    public static ProfileResult LoadText(string text, string path, string partLibraryFolder) => Load(path, partLibraryFolder, errors => DocumentReader.ReadText(text, errors));

    private static ProfileResult Load(string path, string partLibraryFolder, Func<ErrorList, DocumentNode?> read)
    {
        var (library, libraryErrors) = PartLibrary.Load(partLibraryFolder);
        // No folder holds the root itself.
        var own = Path.GetDirectoryName(Path.GetFullPath(path)) is { } beside ? Path.Combine(beside, "parts") : null;
        if (Directory.Exists(own) && own != Path.GetFullPath(partLibraryFolder))
        {
            var (ownLibrary, ownErrors) = PartLibrary.Load(own);
            library = ownLibrary.Over(library);
            libraryErrors = [.. ownErrors, .. libraryErrors];
        }
        var errors = new ErrorList(path);
        var board = read(errors) is { } root && ProfileReader.Read(root, errors) is { } document ? BoardBuilder.Build(document, library, errors) : null;
        ImmutableArray<ProfileError> all = [.. errors.InReadingOrder(), .. libraryErrors];
        return new(all.IsEmpty ? board : null, all);
    }
}
