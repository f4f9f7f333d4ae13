using System.Collections.Immutable;

namespace TestRig.Bench.Storage;

/// <summary>What a store keeps of a run in one table.</summary>
/// <param name="Columns">All but the key of the run, which is each store's own.</param>
internal sealed record RunTable(string Name, ImmutableArray<string> Columns)
{
    /// <summary>The columns, as a statement names them.</summary>
    public string Listed { get; } = string.Join(", ", Columns);
}
