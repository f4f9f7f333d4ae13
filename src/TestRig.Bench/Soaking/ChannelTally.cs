using System.Collections.Immutable;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Soaking;

/// <summary>How one channel fared in a run.</summary>
public sealed class ChannelTally(string channel)
{
    /// <summary>Stretches of the run at most, to show when it failed.</summary>
    private const int MostStretches = 512;

    private readonly SortedDictionary<Condition, long> _conditions = [];
    private readonly long[] _failuresByHour = new long[24];
    private readonly long[] _judgedByHour = new long[24];
    private readonly BlockMeans _failing = new(MostStretches);
    private double _failurePlaces;

    public string Channel => channel;

    /// <summary>Cycles in which it was judged: working or failing.</summary>
    public long Judged { get; private set; }

    public long Failures { get; private set; }

    public long NotTested { get; private set; }

    /// <summary>The cycle of its first failure; null while there is none.</summary>
    public long? FirstFailure { get; private set; }

    public long? LastFailure { get; private set; }

    /// <summary>What the first failure was, as a sentence.</summary>
    public string? FirstWords { get; private set; }

    /// <summary>In how many cycles it had which condition; working is not among them.</summary>
    public IReadOnlyDictionary<Condition, long> Conditions => _conditions;

    /// <summary>Failures by the hour of the day, at the bench, in which their cycles began.</summary>
    public ImmutableArray<long> FailuresByHour => [.. _failuresByHour];

    /// <summary>The cycles in which it was judged, by the same.</summary>
    public ImmutableArray<long> JudgedByHour => [.. _judgedByHour];

    /// <summary>Stretches of the run in which it failed at least once, in hours from its start.</summary>
    public IEnumerable<(double From, double To)> FailingStretches => _failing.Ranges.Where(range => range.Most > 0).Select(range => (range.From, range.To));

    /// <summary>It failed in some cycles and worked in others.</summary>
    public bool IsIntermittent => Failures > 0 && Failures < Judged;

    /// <param name="hours">From the start of the run to the cycle's end.</param>
    public void Add(long cycle, double hours, DateTimeOffset at, CycleChannel found)
    {
        if (found.Condition == Condition.NotTested)
        {
            NotTested++;
            return;
        }
        Judged++;
        _failing.Add(new(hours, found.Failed ? 1 : 0));
        _judgedByHour[at.Hour]++;
        if (!found.Failed)
            return;
        Failures++;
        _failurePlaces += Judged - 0.5;
        _failuresByHour[at.Hour]++;
        _conditions[found.Condition] = _conditions.GetValueOrDefault(found.Condition) + 1;
        FirstFailure ??= cycle;
        FirstWords ??= found.Summary;
        LastFailure = cycle;
    }

    /// <summary>The share of cycles in which it fails, with 95 % confidence; null while it was judged in none.</summary>
    public (double Lower, double Upper)? FailureShare => Judged == 0 ? null : ExactShare.Between(Failures, Judged, SoakConfidence.Share);

    /// <summary>
    /// Whether its failures come closer together, or farther apart, as the run goes on; null of too few. Counted in cycles, each failure in the middle of its own: rests, and gaps between sessions, are no time in which it
    /// could have failed.
    /// </summary>
    public LaplaceTrend? Clustering => LaplaceTrend.OfSum(Failures, _failurePlaces, Judged);
}
