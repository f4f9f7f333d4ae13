namespace TestRig.Tests.Shared;

/// <summary>The folder of the working copy that a test runs from.</summary>
internal static class RepositoryRoot
{
    /// <exception cref="InvalidOperationException">The tests do not run from a working copy.</exception>
    public static string Path { get; } = Find();

    private static string Find()
    {
        for (var folder = new DirectoryInfo(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            if (File.Exists(System.IO.Path.Combine(folder.FullName, "TestRig.sln")))
                return folder.FullName;
        }
        throw new InvalidOperationException($"TestRig.sln is in no folder above {AppContext.BaseDirectory}: run the tests from a working copy.");
    }
}
