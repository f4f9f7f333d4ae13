using TestRig.Bench.Files;

namespace TestRig.Bench.Serving;

/// <summary>Folders of a service that nobody but the user that it runs as has anything to look for in.</summary>
public static class OwnFolder
{
    private const UnixFileMode Owner = UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute;

    /// <summary>Made when it is not there, with those above it.</summary>
    /// <exception cref="RunStorageException">It cannot be made.</exception>
    public static DirectoryInfo Make(string path) => WholeFile.Guarded(
        path,
        () => OperatingSystem.IsWindows() ? Directory.CreateDirectory(path) : Directory.CreateDirectory(path, Owner),
        "another folder with 'state' in the service's configuration");
}
