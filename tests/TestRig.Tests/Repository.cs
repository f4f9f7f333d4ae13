using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>Places in the repository that whole-program tests need.</summary>
internal static class Repository
{
    public static string Root => RepositoryRoot.Path;

    public static string DomeProfile { get; } = Path.Combine(Root, "profiles", "dome-drive.yaml");

    public static string TideGaugeProfile { get; } = Path.Combine(Root, "profiles", "tide-gauge.yaml");

    public static string SocketProfile { get; } = Path.Combine(Root, "profiles", "isolator-socket.yaml");

    public static string SocketBoard { get; } = Path.Combine(Root, "tools", "emulated-bench", "boards", "isolator-socket.board");

    public static string CarillonProfile { get; } = Path.Combine(Root, "profiles", "carillon.yaml");

    /// <summary>The program as built with this test.</summary>
    public static string Program { get; } = Path.Combine(AppContext.BaseDirectory, "testrig.dll");

    /// <summary>The same as its user starts it.</summary>
    public static string Executable { get; } = Path.Combine(AppContext.BaseDirectory, "testrig");

    public static string EmulatedBench { get; } = Built("tools", "emulated-bench", "build", "emulated-bench");

    /// <summary>The adapter's firmware for a chip.</summary>
    public static string Firmware(string chip) => Built("src", "firmware", "build", chip, $"testrig-{chip}.elf");

    public static string DomeBoard { get; } = Path.Combine(Root, "tools", "emulated-bench", "boards", "dome.board");

    public static string TideGaugeBoard { get; } = Path.Combine(Root, "tools", "emulated-bench", "boards", "tide-gauge.board");

    public static string CarillonBoard { get; } = Path.Combine(Root, "tools", "emulated-bench", "boards", "carillon.board");

    /// <summary>A file of this project's own boards: emulated ones, and profiles of invented ones.</summary>
    public static string TestBoard(string file) => Path.Combine(Root, "tests", "TestRig.Tests", "boards", file);

    private static string Built(params string[] path)
    {
        var full = Path.Combine([Root, .. path]);
        return File.Exists(full) ? full : throw new InvalidOperationException($"{full} is not built: run tools/check, or make in its folder.");
    }
}
