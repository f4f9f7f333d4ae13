using System.Text;
using TestRig.Bench.Files;

namespace TestRig.Commands;

/// <summary>Standard output, led into a file perhaps: that it takes no more is a failure to keep what was found, like that of any other file.</summary>
/// <param name="inner">Where it goes.</param>
internal sealed class StandardOutput(TextWriter inner) : TextWriter
{
    public override Encoding Encoding => inner.Encoding;

    /// <exception cref="RunStorageException">It cannot be written.</exception>
    public override void Write(char value) => Try(() => inner.Write(value));

    /// <exception cref="RunStorageException">It cannot be written.</exception>
    public override void Write(char[] buffer, int index, int count) => Try(() => inner.Write(buffer, index, count));

    /// <exception cref="RunStorageException">It cannot be written.</exception>
    public override void Write(string? value) => Try(() => inner.Write(value));

    /// <exception cref="RunStorageException">It cannot be written.</exception>
    public override void WriteLine(string? value) => Try(() => inner.WriteLine(value));

    /// <exception cref="RunStorageException">It cannot be written.</exception>
    public override void Flush() => Try(inner.Flush);

    private static void Try(Action write)
    {
        try
        {
            write();
        }
        catch (IOException cause)
        {
            throw new RunStorageException($"Standard output cannot be written: {cause.Message}. Free some space where it goes, or let it go elsewhere.", cause);
        }
    }
}
