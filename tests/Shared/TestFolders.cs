namespace TestRig.Tests.Shared;

/// <summary>Folders for what a test writes; all of them are gone when the tests have ended.</summary>
internal static class TestFolders
{
    private static readonly Lazy<DirectoryInfo> _root = new(() =>
    {
        var root = Directory.CreateTempSubdirectory("testrig-tests-");
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
    });

    public static DirectoryInfo Create() => Directory.CreateDirectory(Path.Combine(_root.Value.FullName, Guid.NewGuid().ToString("N")));
}
