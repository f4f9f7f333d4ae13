using System.Text;

namespace TestRig.Bench.Files;

/// <summary>Writes a file whole or not at all, with an error that says what to do.</summary>
public static class WholeFile
{
    /// <summary>ENOSPC, which the runtime hands on as it is.</summary>
    private const int UnixDiskFull = 28;

    /// <summary>ERROR_DISK_FULL as an HRESULT.</summary>
    private const int WindowsDiskFull = unchecked((int)0x80070070);

    private const string OtherFolder = "another folder with --out";

    /// <summary>Writes text as UTF-8; the folder is made when it is not there, and a file of that name is replaced.</summary>
    /// <exception cref="RunStorageException">Disk full, no permission, and the like.</exception>
    /// <param name="elsewhere">What to choose where it cannot be written there.</param>
    public static void Write(string path, string text, string elsewhere = OtherFolder)
    {
        Guarded(path, () => Directory.CreateDirectory(Path.GetDirectoryName(Path.GetFullPath(path))!), elsewhere);
        Write(path, Encoding.UTF8.GetBytes(text), elsewhere);
    }

    /// <summary>First under another name, then renamed. The folder has to be there.</summary>
    /// <exception cref="RunStorageException">Disk full, no permission, and the like.</exception>
    public static void Write(string path, byte[] content, string elsewhere = OtherFolder) => Guarded(path, () =>
    {
        var draft = path + ".part";
        try
        {
            File.WriteAllBytes(draft, content);
            File.Move(draft, path, overwrite: true);
            return true;
        }
        catch (IOException)
        {
            // Half a file is of no use, and takes the room that the next one may need.
            File.Delete(draft);
            throw;
        }
    }, elsewhere);

    /// <summary>Turns what the system says of <paramref name="path"/> into what a technician can do about it.</summary>
    internal static T Guarded<T>(string path, Func<T> write, string elsewhere = OtherFolder)
    {
        try
        {
            return write();
        }
        catch (UnauthorizedAccessException cause)
        {
            throw new RunStorageException($"No permission to write {path}. Choose {elsewhere}.", cause);
        }
        catch (IOException cause)
        {
            var remedy = cause.HResult is UnixDiskFull or WindowsDiskFull ? "Free some space, or choose" : "Choose";
            throw new RunStorageException($"Cannot write {path}: {cause.Message.TrimEnd('.')}. {remedy} {elsewhere}.", cause);
        }
    }
}
