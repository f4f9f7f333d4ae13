using System.Collections.Immutable;

namespace TestRig.Tests.Soaking;

/// <summary>A run as its rows in the store say.</summary>
/// <param name="Cycles">That the run says it has.</param>
/// <param name="Numbers">Of the cycles that there are, ascending.</param>
/// <param name="Sessions">Processes and adapters with which it went on.</param>
internal sealed record StoredSoak(string Id, long Cycles, long Failing, bool Ended, ImmutableArray<long> Numbers, int Sessions)
{
    /// <summary>Cycles 1 to <paramref name="count"/>, each once, and the run knows that many.</summary>
    public void AssertCounts(long count)
    {
        Assert.Equal(Enumerable.Range(1, (int)count).Select(number => (long)number), Numbers);
        Assert.Equal(count, Cycles);
    }
}
