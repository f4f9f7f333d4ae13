namespace TestRig.Bench.Files;

/// <summary>Finds what somebody meant to write.</summary>
public static class NearestName
{
    private const int NamesListed = 12;

    /// <summary>"did you mean 'x'?" when one name is near, else the list of names there are.</summary>
    /// <param name="kind">What the names are, in the plural: "supplies".</param>
    public static string Suggest(string written, IEnumerable<string> names, string kind)
    {
        var known = names.ToArray();
        if (known.Length == 0)
            return $"there are no {kind}: declare it first";
        var nearest = known.MinBy(name => Distance(written, name))!;
        if (IsNear(written, nearest))
            return $"did you mean '{nearest}'?";
        var more = known.Length > NamesListed ? ", …" : "";
        return $"the {kind} are {string.Join(", ", known.Take(NamesListed))}{more}";
    }

    public static bool IsNear(string written, string name) => Distance(written, name) <= Math.Max(1, Math.Min(3, name.Length / 3));

    /// <summary>
    /// Insertions, deletions, replacements and swaps of neighbours (optimal string alignment), letter case ignored.
    /// </summary>
    internal static int Distance(string left, string right)
    {
        var a = left.ToUpperInvariant();
        var b = right.ToUpperInvariant();
        var d = new int[a.Length + 1, b.Length + 1];
        for (var i = 0; i <= a.Length; i++)
            d[i, 0] = i;
        for (var j = 0; j <= b.Length; j++)
            d[0, j] = j;
        for (var i = 1; i <= a.Length; i++)
        {
            for (var j = 1; j <= b.Length; j++)
            {
                var replaced = d[i - 1, j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
                d[i, j] = Math.Min(replaced, Math.Min(d[i - 1, j], d[i, j - 1]) + 1);
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                    d[i, j] = Math.Min(d[i, j], d[i - 2, j - 2] + 1);
            }
        }
        return d[a.Length, b.Length];
    }
}
