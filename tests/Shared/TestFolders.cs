namespace TestRig.Tests.Shared;

/// <summary>Folders for what a test writes; all of them are gone when the tests have ended.</summary>
internal static class TestFolders
{
    /// <summary>Where Linux keeps files in memory.</summary>
    private const string Memory = "/dev/shm";

    private static readonly Lazy<DirectoryInfo> _root = new(() => Passing(() => Directory.CreateTempSubdirectory("testrig-tests-")));

    private static readonly Lazy<DirectoryInfo> _inMemory = new(() => Directory.Exists(Memory)
        ? Passing(() => Directory.CreateDirectory(Path.Combine(Memory, $"testrig-tests-{Guid.NewGuid():N}")))
        : _root.Value);

    public static DirectoryInfo Create() => CreateIn(_root.Value);

    /// <summary>In memory, where the system has files there: what is written again and again, and of which no test asks whether it outlives a power cut, need not wait for a disk.</summary>
    public static DirectoryInfo CreateInMemory() => CreateIn(_inMemory.Value);

    private static DirectoryInfo CreateIn(DirectoryInfo root) => Directory.CreateDirectory(Path.Combine(root.FullName, Guid.NewGuid().ToString("N")));

    private static DirectoryInfo Passing(Func<DirectoryInfo> create)
    {
        var root = create();
        AppDomain.CurrentDomain.ProcessExit += (_, _) =>
        {
            try
            {
                root.Delete(recursive: true);
            }
            catch (IOException left)
            {
                Console.Error.WriteLine($"{root.FullName} could not be deleted: {left.Message}");
            }
        };
        return root;
    }
}
