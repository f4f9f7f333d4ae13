using System.CommandLine;
using TestRig.Bench.Files;

namespace TestRig.Commands;

/// <summary>--json FILE|-, shared by the commands that report.</summary>
internal static class JsonOption
{
    /// <summary>Standard output; everything for people then goes to standard error.</summary>
    public const string StandardOutput = "-";

    public static Option<string?> Create(string what) => new("--json")
    {
        Description = $"Also write {what} as JSON to this file; - for standard output.",
        HelpName = "FILE|-",
    };

    public static TextScreen Screen(string? target) => target == StandardOutput ? TextScreen.OnError() : TextScreen.OnOutput();

    /// <param name="target">Null: nothing was asked for.</param>
    /// <exception cref="RunStorageException">The file cannot be written.</exception>
    public static async Task WriteAsync(string? target, string text)
    {
        if (target == StandardOutput)
        {
            await Console.Out.WriteLineAsync(text);
        }
        else if (target is not null)
        {
            try
            {
                await File.WriteAllTextAsync(target, text);
            }
            catch (Exception cause) when (cause is IOException or UnauthorizedAccessException)
            {
                throw new RunStorageException($"Cannot write {target}: {cause.Message} Name another file with --json, or - for standard output.", cause);
            }
        }
    }
}
