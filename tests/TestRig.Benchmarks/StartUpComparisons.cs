using System.Diagnostics;

namespace TestRig.Benchmarks;

/// <summary>From starting the program to its end, against a .NET program that does nothing.</summary>
internal static class StartUpComparisons
{
    /// <summary>The argument that makes this program do nothing.</summary>
    public const string BareMode = "bare";

    public static IEnumerable<Comparison> All =>
    [
        new("start-up of testrig --help, time as a multiple of a bare program", RatioKind.TimesYardstick, 2.5, () => new(
            () => RunToEnd(Beside("testrig"), "--help"),
            () => RunToEnd(Environment.ProcessPath!, BareMode))),
    ];

    private static string Beside(string program) =>
        Path.Combine(AppContext.BaseDirectory, OperatingSystem.IsWindows() ? program + ".exe" : program);

    private static void RunToEnd(string program, string argument)
    {
        var start = new ProcessStartInfo(program, [argument]) { RedirectStandardOutput = true, UseShellExecute = false };
        using var process = Process.Start(start)!;
        process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        if (process.ExitCode != 0)
            throw new InvalidOperationException($"{program} {argument} ended with exit code {process.ExitCode}");
    }
}
