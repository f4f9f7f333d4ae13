using System.Diagnostics;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Icarus;

/// <summary>The Verilog board, simulated by Icarus Verilog with something broken in it, and judged by the whole program.</summary>
internal static class Simulated
{
    public static string Folder { get; } = Path.Combine(Repository.Root, "tests", "TestRig.Tests", "Icarus");

    /// <param name="macros">Of the compiler's command line: what is broken, e.g. "U1_DEAD" or "U2_UP_RISE=54".</param>
    public static RunRecord Judge(int exitCode, params string[] macros) => Judge(exitCode, macros, []);

    /// <param name="options">More words for the program.</param>
    /// <inheritdoc cref="Judge(int, string[])"/>
    public static RunRecord Judge(int exitCode, string[] macros, string[] options)
    {
        var folder = TestFolders.Create().FullName;
        try
        {
            var (program, dump) = (Path.Combine(folder, "board.vvp"), Path.Combine(folder, "board.vcd"));
            Run("iverilog", ["-o", program, $"-DDUMP=\"{dump}\"", .. macros.Select(macro => $"-D{macro}"), Path.Combine(Folder, "funicular.v")]);
            Run("vvp", ["-n", program]);
            using var run = ProgramRun.ToEnd(["judge", Path.Combine(Folder, "funicular.yaml"), dump, "--json", "-", .. options]).WaitForEnd(exitCode);
            return RunRecord.Of(run);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private static void Run(string command, string[] words)
    {
        var start = new ProcessStartInfo(command, words) { RedirectStandardError = true, RedirectStandardOutput = true };
        using var process = Process.Start(start)!;
        var said = process.StandardError.ReadToEndAsync();
        var shown = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        if (process.ExitCode != 0)
            throw new InvalidOperationException($"{command} ended with {process.ExitCode}: {said.Result}{shown}");
    }
}
