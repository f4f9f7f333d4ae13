namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>What was broken on purpose, by kind.</summary>
internal sealed class FaultCount
{
    private readonly SortedDictionary<string, long> _kinds = new(StringComparer.Ordinal);

    public IReadOnlyDictionary<string, long> Kinds => _kinds;

    public void Add(string kind, long times = 1) => _kinds[kind] = _kinds.GetValueOrDefault(kind) + times;

    public void Add(FaultCount other)
    {
        foreach (var (kind, times) in other._kinds)
            Add(kind, times);
    }
}
