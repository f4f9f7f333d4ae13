using System.Collections.Immutable;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Soaking;

/// <summary>Which channels failed together and how, each explained once: a fault that comes a thousand times is explained by the first cycle that is at hand.</summary>
internal sealed class FailurePatterns
{
    /// <summary>A diagnosis takes seconds; what fails in more ways than so many is counted, not explained.</summary>
    private const int MostExplained = 8;

    /// <summary>Further ones are counted together, in the same room however many they are.</summary>
    private const int MostKnown = 64;

    private readonly Dictionary<string, FailurePattern> _patterns = [];
    private int _explained;

    /// <summary>The most frequent first.</summary>
    public ImmutableArray<FailurePattern> Seen => [.. _patterns.Values.OrderByDescending(pattern => pattern.Times).ThenBy(pattern => pattern.First)];

    /// <summary>Failing cycles that are of none of these: too many ways to fail.</summary>
    public long Others { get; private set; }

    /// <param name="cycle">A failing one.</param>
    /// <returns>Whether the cycle is to be explained, where it is at hand: nothing explains its pattern yet.</returns>
    public bool Count(CycleRecord cycle)
    {
        var words = WordsOf(cycle);
        if (_patterns.TryGetValue(words, out var known))
        {
            known = known with { Times = known.Times + 1 };
        }
        else if (_patterns.Count == MostKnown)
        {
            Others++;
            return false;
        }
        else
        {
            known = new(words, 1, cycle.Number, null);
        }
        _patterns[words] = known;
        return known.Explanation is null && _explained < MostExplained;
    }

    /// <param name="cycle">Counted before.</param>
    public void Explain(CycleRecord cycle, SweepResult sweep, Diagnosis diagnosis)
    {
        var words = WordsOf(cycle);
        _patterns[words] = _patterns[words] with { Explanation = new(cycle.Number, sweep, diagnosis) };
        _explained++;
    }

    private static string WordsOf(CycleRecord cycle) => string.Join(", ", cycle.Channels.Where(channel => channel.Failed).Select(channel => $"{channel.Channel} {Words.Of(channel.Condition)}")
        .Concat(cycle.Checks.Select(check => $"check {check[..check.IndexOf(':', StringComparison.Ordinal)]}")));
}
