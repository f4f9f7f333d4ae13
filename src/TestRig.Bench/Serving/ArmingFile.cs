using System.Text.Json;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;

namespace TestRig.Bench.Serving;

/// <summary>
/// Where it is kept that a bench is armed: a file on the bench's own computer, which the service only reads. Whoever may write there has an account on that computer; nobody has who only has a token.
/// </summary>
/// <param name="folder">The service's own; not there until the first bench is armed.</param>
public sealed class ArmingFile(string folder, string bench)
{
    /// <summary>A bench is to be armed again at least once a week: longer, and nobody remembers.</summary>
    public static readonly TimeSpan Longest = TimeSpan.FromDays(7);

    private string File => Path.Combine(folder, $"{bench}.armed.json");

    /// <exception cref="RunStorageException">The file cannot be written.</exception>
    public void Arm(Arming arming)
    {
        if (arming.Bench != bench || arming.Until <= arming.At || arming.Until - arming.At > Longest)
            throw new ArgumentException($"bench {arming.Bench}, {arming.At:O} to {arming.Until:O}", nameof(arming));
        WholeFile.Write(File, JsonSerializer.Serialize(arming, RecordJson.Options), Elsewhere);
        if (!OperatingSystem.IsWindows())
            System.IO.File.SetUnixFileMode(File, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.GroupRead);
    }

    /// <returns>False where it was not armed.</returns>
    /// <exception cref="RunStorageException">The file cannot be removed: the bench stays armed.</exception>
    public bool Disarm() => WholeFile.Guarded(
        File,
        () =>
        {
            // Before the first arming not even the folder is there.
            if (!System.IO.File.Exists(File))
                return false;
            System.IO.File.Delete(File);
            return true;
        },
        Elsewhere);

    /// <summary>Null where the bench is not armed now. A file that cannot be read, or is of another bench, arms nothing.</summary>
    /// <param name="problem">Why it arms nothing, though something is there; null where nothing is wrong.</param>
    public Arming? Read(DateTimeOffset now, out string? problem)
    {
        problem = null;
        try
        {
            if (!System.IO.File.Exists(File))
                return null;
            var arming = JsonSerializer.Deserialize<Arming>(System.IO.File.ReadAllText(File), RecordJson.Options);
            if (arming?.Bench == bench && arming.Until - arming.At <= Longest)
                return arming.Holds(now) ? arming : null;
            problem = $"{File} arms another bench, or for too long. Disarm the bench, and arm it again.";
            return null;
        }
        catch (Exception unreadable) when (unreadable is IOException or UnauthorizedAccessException or JsonException)
        {
            problem = $"{File} cannot be read ({unreadable.Message.TrimEnd('.')}): the bench is not armed. Arm it again, as the user that the service runs as.";
            return null;
        }
    }

    private const string Elsewhere = "another folder with 'state' in the service's configuration, or become the user that the service runs as";
}
