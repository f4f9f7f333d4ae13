using System.Globalization;

namespace TestRig.Bench.Recordings;

/// <summary>A recorded file cannot be read, or does not say what judging it needs. Thrown while it is read, since it may be larger than memory.</summary>
public sealed class RecordingException : Exception
{
    /// <param name="file">As the user named it.</param>
    /// <param name="line">1-based; 0 when it is about the file as a whole.</param>
    /// <param name="what">What was found.</param>
    /// <param name="remedy">What was expected, or what to do.</param>
    public RecordingException(string file, long line, string what, string remedy, Exception? cause = null)
        : base(line == 0 ? $"{file}: {what}; {remedy}" : string.Create(CultureInfo.InvariantCulture, $"{file}:{line}: {what}; {remedy}"), cause) => Line = line;

    /// <summary>1-based; 0 when it is about the file as a whole.</summary>
    public long Line { get; }

    /// <summary>Something out of a file as it can be shown: what is no printable ASCII as a question mark, and not too much of it.</summary>
    internal static string Shown(ReadOnlySpan<byte> found)
    {
        var shown = string.Concat(found[..Math.Min(found.Length, MostShown)].ToArray().Select(each => each is >= (byte)' ' and <= (byte)'~' ? (char)each : '?'));
        return found.Length > MostShown ? shown + "…" : shown;
    }

    /// <inheritdoc cref="Shown(ReadOnlySpan{byte})"/>
    internal static string Shown(ReadOnlySpan<char> found)
    {
        var shown = string.Concat(found[..Math.Min(found.Length, MostShown)].ToArray().Select(each => char.IsControl(each) ? '?' : each));
        return found.Length > MostShown ? shown + "…" : shown;
    }

    private const int MostShown = 40;
}
