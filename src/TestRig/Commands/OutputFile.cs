using TestRig.Bench.Files;

namespace TestRig.Commands;

/// <summary>A file that --write names. An existing one stays as it is unless --force was given.</summary>
internal static class OutputFile
{
    /// <param name="file">Null where nothing is to be written.</param>
    /// <exception cref="BadUsageException">It must not, or cannot, be written.</exception>
    public static void Check(string? file, bool force)
    {
        if (Directory.Exists(file))
            throw new BadUsageException([$"--write {file} is a folder: name a file."]);
        if (File.Exists(file) && !force)
            throw new BadUsageException([$"--write {file} is there already: name another file, or add --force to replace it."]);
    }

    /// <exception cref="RunStorageException">It cannot be written.</exception>
    public static void Write(string file, string text) => WholeFile.Write(file, text, "another file with --write");
}
