namespace TestRig.Bench.Tests.Files;

/// <summary>Finds the repository's own files from wherever the tests run.</summary>
internal static class Repository
{
    public static string Root { get; } = FindRoot();

    public static string PartsFolder => Path.Combine(Root, "profiles", "parts");

    public static string DemoProfile => Path.Combine(Root, "profiles", "dome-drive.yaml");

    private static string FindRoot()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(folder.FullName, "TestRig.sln")))
            folder = folder.Parent ?? throw new InvalidOperationException("TestRig.sln is in no folder above the tests");
        return folder.FullName;
    }
}
