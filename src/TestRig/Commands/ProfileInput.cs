using TestRig.Bench.Files;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;

namespace TestRig.Commands;

/// <summary>Reads the profile named on the command line.</summary>
internal static class ProfileInput
{
    /// <summary>The part library that travels with the program.</summary>
    public static string PartLibrary => Path.Combine(AppContext.BaseDirectory, "parts");

    /// <summary>Null when the profile has errors; all of them are then on standard error, one block each.</summary>
    public static Board? Load(FileInfo profile) => Told(ProfileLoader.Load(profile.ToString(), PartLibrary)).Board;

    /// <summary>The same with the texts that it was read from, to be kept with a run.</summary>
    public static (Board Board, ProfileSource Source)? LoadWithSource(FileInfo profile) =>
        Told(ProfileLoader.Load(profile.ToString(), PartLibrary)) is { Board: { } board, Source: { } source } ? (board, source) : null;

    /// <summary>The same with all part types that the profile could name, too.</summary>
    public static (Board Board, ProfileSource Source, PartLibrary Library)? LoadWithLibrary(FileInfo profile) => WithLibrary(ProfileLoader.Load(profile.ToString(), PartLibrary));

    /// <summary>A profile that was kept with a run.</summary>
    /// <inheritdoc cref="Load(FileInfo)"/>
    public static Board? Load(ProfileSource kept) => Told(ProfileLoader.Load(kept)).Board;

    /// <summary>The same with all part types that were kept with it.</summary>
    public static (Board Board, ProfileSource Source, PartLibrary Library)? LoadWithLibrary(ProfileSource kept) => WithLibrary(ProfileLoader.Load(kept));

    private static (Board Board, ProfileSource Source, PartLibrary Library)? WithLibrary(ProfileResult result) =>
        Told(result) is { Board: { } board, Source: { } source, Library: var library } ? (board, source, library) : null;

    private static ProfileResult Told(ProfileResult result)
    {
        foreach (var error in result.Errors)
            Console.Error.WriteLine(error);
        if (result.Errors.Length > 0)
            Console.Error.WriteLine($"testrig: {result.Errors.Length} {(result.Errors.Length == 1 ? "error" : "errors")} in the profile; nothing was driven.");
        return result;
    }
}
