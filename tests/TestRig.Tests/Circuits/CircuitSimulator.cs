using System.Collections.Immutable;
using System.ComponentModel;
using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;
using System.Text;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Circuits;

/// <summary>ngspice, which knows nothing of this program, on one of the decks in tools/circuits.</summary>
internal static partial class CircuitSimulator
{
    private static readonly TimeSpan _patience = TimeSpan.FromMinutes(2);

    /// <summary>Runs a deck with these values.</summary>
    public static SimulatedCircuit Run(string deck, params (string Name, double Value)[] values)
    {
        var body = File.ReadAllText(Path.Combine(Repository.Root, "tools", "circuits", deck + ".cir"));
        var whole = new StringBuilder($"* {deck}\n");
        foreach (var (name, value) in values)
            whole.Append(CultureInfo.InvariantCulture, $".param {name}={value:R}\n");
        whole.Append(body);
        var folder = TestFolders.Create();
        try
        {
            var file = Path.Combine(folder.FullName, "whole.cir");
            File.WriteAllText(file, whole.ToString());
            var said = Simulate(file);
            var measured = Measured().Matches(said).ToImmutableDictionary(
                match => match.Groups["name"].Value, match => double.Parse(match.Groups["value"].Value, NumberStyles.Float, CultureInfo.InvariantCulture));
            return new(measured, said);
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private static string Simulate(string file)
    {
        Process? process;
        try
        {
            process = Process.Start(new ProcessStartInfo("ngspice", ["-b", file]) { RedirectStandardOutput = true, RedirectStandardError = true });
        }
        catch (Win32Exception missing)
        {
            throw new InvalidOperationException("ngspice cannot be run: install it with tools/install-needs.", missing);
        }
        using (process)
        {
            var (output, error) = (process!.StandardOutput.ReadToEndAsync(), process.StandardError.ReadToEndAsync());
            if (!process.WaitForExit(_patience))
            {
                process.Kill();
                throw new InvalidOperationException($"ngspice did not end within {_patience}.");
            }
            var said = output.Result + error.Result;
            return process.ExitCode == 0 ? said : throw new InvalidOperationException($"ngspice ended with {process.ExitCode}:\n{said}");
        }
    }

    [GeneratedRegex(@"(?m)^(?<name>[a-z]+)\s+=\s+(?<value>[-+0-9.]+(?:e[-+]?[0-9]+)?)")]
    private static partial Regex Measured();
}
