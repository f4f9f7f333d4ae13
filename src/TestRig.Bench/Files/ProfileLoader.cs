using System.Collections.Immutable;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Files;

/// <summary>Reads a board's profile. What it returns needs no second check.</summary>
public static class ProfileLoader
{
    /// <summary>
    /// Reads the profile at <paramref name="path"/>, the folder "parts" beside it where there is one, and the part library at
    /// <paramref name="partLibraryFolder"/>; a part type in the former hides one of the same name in the latter. Never throws for bad content or a
    /// missing file: everything that is wrong, in all of them, is among the errors.
    /// </summary>
    public static ProfileResult Load(string path, string partLibraryFolder) => Load(path, PartsFor(path, partLibraryFolder), errors => DocumentReader.ReadContent(path, errors));

    /// <summary>Reads a text as if it were the content of the profile at <paramref name="path"/>, which need not be there: whether a profile that is yet to be written has errors.</summary>
    /// <inheritdoc cref="Load(string, string)"/>
    public static ProfileResult LoadText(string text, string path, string partLibraryFolder) => Load(path, PartsFor(path, partLibraryFolder), _ => text);

    /// <summary>Reads a profile that was kept: no file is looked at.</summary>
    /// <inheritdoc cref="Load(string, string)"/>
    public static ProfileResult Load(ProfileSource source) => Load(source.Path, PartLibrary.Of(source.Parts), _ => source.Text);

    private static (PartLibrary Library, ImmutableArray<ProfileError> Errors) PartsFor(string path, string partLibraryFolder)
    {
        var parts = PartLibrary.Load(partLibraryFolder);
        // No folder holds the root itself.
        var own = Path.GetDirectoryName(Path.GetFullPath(path)) is { } beside ? Path.Combine(beside, "parts") : null;
        if (!Directory.Exists(own) || own == Path.GetFullPath(partLibraryFolder))
            return parts;
        var (ownLibrary, ownErrors) = PartLibrary.Load(own);
        return (ownLibrary.Over(parts.Library), [.. ownErrors, .. parts.Errors]);
    }

    private static ProfileResult Load(string path, (PartLibrary Library, ImmutableArray<ProfileError> Errors) parts, Func<ErrorList, string?> read)
    {
        var errors = new ErrorList(path);
        var board = read(errors) is { } text && DocumentReader.ReadText(text, errors) is { } root && ProfileReader.Read(root, errors) is { } document
            ? (Built: BoardBuilder.Build(document, parts.Library, errors), Source: new ProfileSource(path, text, parts.Library.TextsOf(document.PartTypes)))
            : default;
        ImmutableArray<ProfileError> all = [.. errors.InReadingOrder(), .. parts.Errors];
        return all.IsEmpty ? new(board.Built, all) { Source = board.Source, Library = parts.Library } : new(null, all) { Library = parts.Library };
    }
}
