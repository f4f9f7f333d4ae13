using System.CommandLine;
using TestRig.Bench.Serving;

namespace TestRig.Commands;

/// <summary>BENCHES: what a service is told.</summary>
internal static class ServiceInput
{
    public static Argument<FileInfo> Argument() => new("BENCHES") { Description = "The benches of the service (YAML)." };

    /// <summary>Null when the file has errors; all of them are then on standard error.</summary>
    public static ServiceSettings? Load(FileInfo file)
    {
        var (settings, errors) = ServiceSettingsReader.Read(file.ToString(), AdapterOption.Problem);
        foreach (var error in errors)
            Console.Error.WriteLine(error);
        if (!errors.IsEmpty)
            Console.Error.WriteLine($"testrig: {Bench.Reporting.Words.Count(errors.Length, "error")} in {file}; nothing was begun.");
        return settings;
    }
}
