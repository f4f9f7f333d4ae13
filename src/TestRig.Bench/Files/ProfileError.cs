using System.Globalization;

namespace TestRig.Bench.Files;

/// <summary>One thing that is wrong with a profile or a part file.</summary>
/// <param name="Line">1-based; 0 when the error is about the file as a whole (it cannot be read, for example).</param>
/// <param name="Column">1-based, in characters; 0 with line 0.</param>
/// <param name="KeyPath">The keys that lead to the place, e.g. "lines.rotate-left.rest"; empty at the top of the file.</param>
/// <param name="What">What is wrong.</param>
/// <param name="Remedy">What would be right.</param>
public sealed record ProfileError(string File, int Line, int Column, string KeyPath, string What, string Remedy)
{
    /// <summary>"FILE:LINE:COLUMN: KEYS: what is wrong; what would be right".</summary>
    public override string ToString()
    {
        var place = Line == 0 ? File : string.Create(CultureInfo.InvariantCulture, $"{File}:{Line}:{Column}");
        return KeyPath.Length == 0 ? $"{place}: {What}; {Remedy}" : $"{place}: {KeyPath}: {What}; {Remedy}";
    }
}
