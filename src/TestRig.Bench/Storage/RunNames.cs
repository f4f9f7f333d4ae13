using System.Globalization;

namespace TestRig.Bench.Storage;

/// <summary>Names of runs.</summary>
public static class RunNames
{
    /// <summary>The wanted name, or where the store has a run of it, the first free one with a number behind it.</summary>
    public static async Task<string> FreeAsync(IRunStore store, string wanted, CancellationToken cancellation)
    {
        var name = wanted;
        for (var copy = 2; await store.FindAsync(name, cancellation) is not null; copy++)
            name = string.Create(CultureInfo.InvariantCulture, $"{wanted}-{copy}");
        return name;
    }
}
