using System.Globalization;
using System.Text;

namespace TestRig.Bench.Files;

/// <summary>The folder that holds all that one run leaves behind.</summary>
public sealed class RunFolder
{
    private RunFolder(string path, string run) => (Path, Run) = (path, run);

    public string Path { get; }

    /// <summary>What the run is called, whatever the folder's own name.</summary>
    public string Run { get; }

    public string LogFile => System.IO.Path.Combine(Path, "run.log");

    /// <summary>
    /// Makes a new folder named after a run below <paramref name="parent"/>, or exactly <paramref name="exact"/> when that is given.
    /// An existing folder is used only when it is empty, so that no run is ever written over.
    /// </summary>
    /// <exception cref="RunStorageException">The folder cannot be made or written to, or holds something already.</exception>
    public static RunFolder Create(string parent, string run, string? exact)
    {
        var path = System.IO.Path.GetFullPath(exact ?? System.IO.Path.Combine(parent, run));
        for (var copy = 2; exact is null && Directory.Exists(path); copy++)
            path = System.IO.Path.GetFullPath(System.IO.Path.Combine(parent, $"{run}-{copy}"));
        return WholeFile.Guarded(path, () =>
        {
            if (File.Exists(path))
                throw new RunStorageException($"{path} is a file, not a folder. Name another with --out.");
            if (Directory.Exists(path) && Directory.EnumerateFileSystemEntries(path).Any())
                throw new RunStorageException($"The folder {path} is not empty: an earlier run would be written over. Name another with --out.");
            Directory.CreateDirectory(path);
            return new RunFolder(path, run);
        });
    }

    /// <summary>What a run of a profile is called that begins then.</summary>
    public static string NameOf(string profile, DateTimeOffset started) => $"{FileName(profile)}-{started.ToString("yyyyMMdd-HHmmss", CultureInfo.InvariantCulture)}";

    /// <summary>Writes a text file, whole or not at all: first under another name, then renamed.</summary>
    /// <exception cref="RunStorageException">Disk full, no permission, and the like.</exception>
    public void Write(string relative, string text) => Write(relative, Encoding.UTF8.GetBytes(text));

    /// <inheritdoc cref="Write(string, string)"/>
    public void Write(string relative, byte[] content)
    {
        var file = System.IO.Path.Combine(Path, relative);
        WholeFile.Guarded(file, () => Directory.CreateDirectory(System.IO.Path.GetDirectoryName(file)!));
        WholeFile.Write(file, content);
    }

    /// <summary>The path, below the run folder, of the board's map.</summary>
    public const string Map = "map.png";

    /// <summary>What a channel is called where files are of one cycle of many.</summary>
    public static string InCycle(long cycle, string channel) => string.Create(CultureInfo.InvariantCulture, $"cycle-{cycle}-{channel}");

    /// <summary>The path, below the run folder, of a channel's picture.</summary>
    public static string PlotOf(string channel) => $"waveforms/{FileName(channel)}.png";

    /// <summary>The path, below the run folder, of the picture of a channel's night.</summary>
    public static string DriftOf(string channel) => $"drift/{FileName(channel)}.png";

    /// <summary>The path, below the run folder, of the picture of a contact's bounces.</summary>
    public static string BounceOf(string channel, string point) => $"bounce/{FileName(channel)}-{FileName(point)}.png";

    /// <summary>The path, below the run folder, of a channel's capture.</summary>
    public static string CaptureOf(string channel, CaptureForm form) => $"captures/{FileName(channel)}.{form.ToString().ToLowerInvariant()}";

    private static string FileName(string name)
    {
        var builder = new StringBuilder();
        foreach (var character in name.ToLowerInvariant())
            builder.Append(char.IsAsciiLetterOrDigit(character) || character is '.' or '_' ? character : '-');
        return builder.ToString().Trim('-', '.');
    }
}
