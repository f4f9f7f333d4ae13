namespace TestRig.Core.Tests.Link;

/// <summary>The cases of firmware-notes/vectors/link.txt, which the firmware's own tests read too. Its form is section 10 of the link protocol.</summary>
internal static class LinkVectors
{
    /// <summary>The fields of each case of one kind, without the kind, and its line for messages.</summary>
    public static IEnumerable<(int Line, string[] Fields)> Of(string kind)
    {
        var lines = File.ReadAllLines(Path.Combine(RepositoryRoot(), "firmware-notes", "vectors", "link.txt"));
        for (var index = 0; index < lines.Length; index++)
        {
            var text = lines[index].Split('#')[0];
            var fields = text.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
            if (fields.Length > 0 && fields[0] == kind)
                yield return (index + 1, fields[1..]);
        }
    }

    public static byte[] Bytes(string field) => field == "-" ? [] : Convert.FromHexString(field);

    private static string RepositoryRoot()
    {
        for (var folder = new DirectoryInfo(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            if (File.Exists(Path.Combine(folder.FullName, "TestRig.sln")))
                return folder.FullName;
        }
        throw new InvalidOperationException($"TestRig.sln is in no folder above {AppContext.BaseDirectory}: run the tests from a working copy.");
    }
}
