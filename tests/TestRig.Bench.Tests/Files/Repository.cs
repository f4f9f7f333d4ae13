using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Files;

/// <summary>Finds the repository's own files from wherever the tests run.</summary>
internal static class Repository
{
    public static string Root => RepositoryRoot.Path;

    public static string PartsFolder => Path.Combine(Root, "profiles", "parts");

    public static string DemoProfile => Path.Combine(Root, "profiles", "dome-drive.yaml");
}
