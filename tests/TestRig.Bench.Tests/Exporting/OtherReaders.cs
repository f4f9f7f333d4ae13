using System.Diagnostics;
using System.Text.Json;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Exporting;

/// <summary>The readers of other projects in tests/readers.</summary>
internal static class OtherReaders
{
    /// <param name="files">Paths that end in .vcd, .csv or .parquet.</param>
    /// <returns>What was found in each, in their order.</returns>
    /// <exception cref="InvalidOperationException">The readers are not installed, or could not read a file.</exception>
    public static JsonElement[] Read(params string[] files)
    {
        var folder = Path.Combine(RepositoryRoot.Path, "tests", "readers");
        if (!Directory.Exists(Path.Combine(folder, "node_modules")))
            throw new InvalidOperationException("The readers of other projects are not installed: run 'npm ci --prefix tests/readers'.");
        using var process = Process.Start(new ProcessStartInfo("node", [Path.Combine(folder, "read.mjs"), .. files]) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        var errors = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return process.ExitCode == 0 ? JsonSerializer.Deserialize<JsonElement[]>(output)! : throw new InvalidOperationException(errors.Result);
    }
}
