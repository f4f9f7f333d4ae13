using System.Diagnostics;
using System.Runtime.InteropServices;
using TestRig.Tests.Shared;

namespace TestRig.Benchmarks;

/// <summary>From starting the program to its end, against a .NET program that does nothing, both built in the same way.</summary>
internal static class StartUpComparisons
{
    public static IEnumerable<Comparison> All =>
    [
        new("start-up of testrig --help as installed (compiled ahead of time), time as a multiple of a bare program", RatioKind.TimesYardstick, 2.5, () => Prepare(aheadOfTime: true)),
        new("start-up of testrig --help as built in the working copy, time as a multiple of a bare program", RatioKind.TimesYardstick, null, () => Prepare(aheadOfTime: false)),
    ];

    private static Contest Prepare(bool aheadOfTime)
    {
        var ours = Publish(Path.Combine("src", "TestRig"), "testrig", aheadOfTime);
        var bare = Publish(Path.Combine("tests", "BareProgram"), "bare", aheadOfTime);
        return new(() => RunToEnd(ours, "--help"), () => RunToEnd(bare));
    }

    /// <summary>Into a folder of its own, so that the working copy's build stays as it is.</summary>
    /// <returns>The program's path.</returns>
    private static string Publish(string project, string name, bool aheadOfTime)
    {
        var folder = Path.Combine(Path.GetTempPath(), $"testrig-start-up-{Environment.ProcessId}", $"{name}-{(aheadOfTime ? "ahead" : "plain")}");
        RunToEnd("dotnet", [
            "publish", Path.Combine(RepositoryRoot.Path, project), "-c", "Release", "-r", RuntimeInformation.RuntimeIdentifier, "--self-contained", "false",
            $"-p:PublishReadyToRun={aheadOfTime}", "--artifacts-path", folder + "-build", "-o", folder, "-v", "quiet", "-nologo"]);
        return Path.Combine(folder, OperatingSystem.IsWindows() ? name + ".exe" : name);
    }

    private static void RunToEnd(string program, params string[] arguments)
    {
        var start = new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true, UseShellExecute = false };
        using var process = Process.Start(start)!;
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        if (process.ExitCode != 0)
            throw new InvalidOperationException($"{program} {string.Join(' ', arguments)} ended with exit code {process.ExitCode}:\n{output}");
    }
}
