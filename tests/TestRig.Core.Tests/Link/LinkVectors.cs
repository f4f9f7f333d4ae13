using TestRig.Tests.Shared;

namespace TestRig.Core.Tests.Link;

/// <summary>The cases of firmware-notes/vectors/link.txt, which the firmware's own tests read too. Its form is section 10 of the link protocol.</summary>
internal static class LinkVectors
{
    /// <summary>The fields of each case of one kind, without the kind, and its line for messages.</summary>
    public static IEnumerable<(int Line, string[] Fields)> Of(string kind)
    {
        var lines = File.ReadAllLines(Path.Combine(RepositoryRoot.Path, "firmware-notes", "vectors", "link.txt"));
        for (var index = 0; index < lines.Length; index++)
        {
            var text = lines[index].Split('#')[0];
            var fields = text.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
            if (fields.Length > 0 && fields[0] == kind)
                yield return (index + 1, fields[1..]);
        }
    }

    public static byte[] Bytes(string field) => field == "-" ? [] : Convert.FromHexString(field);
}
