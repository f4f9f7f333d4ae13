using System.Collections.Immutable;

namespace TestRig.Tests.Soaking;

/// <summary>A run as its rows in the store say.</summary>
/// <param name="Cycles">That the run says it has.</param>
/// <param name="Numbers">Of the cycles that there are, ascending.</param>
/// <param name="Sessions">Processes and adapters with which it went on.</param>
/// <param name="NotTested">Channels, by their place in the profile, that a cycle could not judge. A machine too busy to keep an emulated chip at real time makes the host end a burst early, perhaps before its line was on.</param>
internal sealed record StoredSoak(
    string Id, long Cycles, long Failing, bool Ended, ImmutableArray<long> Numbers, int Sessions, ImmutableArray<(long Cycle, int Channel)> NotTested)
{
    /// <summary>What the program has to end with when it has brought this run to its end.</summary>
    public int ExitCode => Failing > 0 ? 1 : NotTested.IsEmpty ? 0 : 6;

    /// <summary>Cycles 1 to <paramref name="count"/>, each once, and the run knows that many.</summary>
    public void AssertCounts(long count)
    {
        Assert.Equal(Enumerable.Range(1, (int)count).Select(number => (long)number), Numbers);
        Assert.Equal(count, Cycles);
    }

    /// <summary>The lines of the channels were on once for each of these cycles, and for one more of each that was cut short; where a cycle could not judge a channel, perhaps not.</summary>
    /// <param name="counts">How often each channel's line was on.</param>
    /// <param name="after">The cycles behind this one,</param>
    /// <param name="to">to this one.</param>
    /// <param name="cut">Cycles that were cut short after some of their lines.</param>
    public void AssertDriven(IReadOnlyList<int> counts, long after, long to, int cut)
    {
        for (var channel = 0; channel < counts.Count; channel++)
        {
            var perhaps = NotTested.Count(entry => entry.Channel == channel && entry.Cycle > after && entry.Cycle <= to);
            Assert.True(
                counts[channel] >= to - after - perhaps && counts[channel] <= to - after + cut,
                $"the lines were on {string.Join(", ", counts)} times for cycles {after + 1} to {to} of {Id}, {cut} more cut short; not tested in a cycle: {string.Join(", ", NotTested)}");
        }
    }
}
