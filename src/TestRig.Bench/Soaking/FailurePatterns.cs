using System.Collections.Immutable;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Soaking;

/// <summary>Which channels failed together and how, each diagnosed once: a fault that comes a thousand times is explained by its first.</summary>
internal sealed class FailurePatterns
{
    /// <summary>A diagnosis takes seconds; what fails in more ways than so many is counted, not explained.</summary>
    private const int MostDiagnosed = 8;

    private readonly Dictionary<string, FailurePattern> _patterns = [];

    /// <summary>The most frequent first.</summary>
    public ImmutableArray<FailurePattern> Seen => [.. _patterns.Values.OrderByDescending(pattern => pattern.Times)];

    /// <param name="diagnose">Explains the sweep: once for each pattern.</param>
    public void Add(CycleRecord cycle, SweepResult sweep, Func<SweepResult, Diagnosis> diagnose)
    {
        var failing = cycle.Channels.Where(channel => channel.Failed).Select(channel => $"{channel.Channel} {Words.Of(channel.Condition)}")
            .Concat(cycle.Checks.Select(check => $"check {check[..check.IndexOf(':', StringComparison.Ordinal)]}"));
        var words = string.Join(", ", failing);
        if (_patterns.TryGetValue(words, out var known))
            _patterns[words] = known with { Times = known.Times + 1 };
        else if (_patterns.Count < MostDiagnosed)
            _patterns[words] = new(words, 1, cycle.Number, sweep, diagnose(sweep));
    }
}

/// <param name="Words">What failed together: "shutter-open dead, shutter-close dead".</param>
/// <param name="First">The cycle in which it was seen first.</param>
/// <param name="Sweep">That cycle.</param>
public sealed record FailurePattern(string Words, long Times, long First, SweepResult Sweep, Diagnosis Diagnosis);
