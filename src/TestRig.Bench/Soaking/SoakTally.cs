using System.Collections.Immutable;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Soaking;

/// <summary>
/// A run's cycles so far in numbers, in the same room however many they are. It knows nothing but the cycles' records: a resumed run, or a report years later, comes to the same numbers from the store.
/// </summary>
/// <param name="started">Of the run: times count from here, in hours.</param>
public sealed class SoakTally(DateTimeOffset started)
{
    /// <summary>Blocks of a series at most: enough to see a trend in, few enough for exact statistics.</summary>
    private const int MostBlocks = 512;

    private readonly Dictionary<string, ChannelTally> _channels = [];
    private readonly Dictionary<FigureKey, SeriesTally> _series = [];
    private readonly ChannelTally _checks = new("(checks)");
    private readonly List<string> _channelOrder = [];
    private double _last;

    public long Cycles { get; private set; }

    /// <summary>Cycles with a failing channel or check.</summary>
    public long FailingCycles { get; private set; }

    /// <summary>Time from the start of the first session's first cycle to the end of the last one, without what lies between sessions.</summary>
    public TimeSpan Exercised { get; private set; }

    /// <summary>In the order in which they were seen, which is the profile's.</summary>
    public ImmutableArray<ChannelTally> Channels => [.. _channelOrder.Select(name => _channels[name])];

    /// <summary>Checks before and after driving: a supply that was not there.</summary>
    public ChannelTally Checks => _checks;

    public IReadOnlyCollection<SeriesTally> Series => _series.Values;

    /// <summary>Hours from the start of the run to the end of its last cycle.</summary>
    public double Hours => _last;

    /// <param name="cycle">The one after the last.</param>
    /// <exception cref="ArgumentException">It is not: something would be counted twice, or is missing.</exception>
    public void Add(CycleRecord cycle)
    {
        if (cycle.Number != Cycles + 1)
            throw new ArgumentException($"Cycle {Cycles + 1} is next, not {cycle.Number}.", nameof(cycle));
        Cycles++;
        Exercised += cycle.Took;
        if (cycle.Failed)
            FailingCycles++;
        // A computer's clock may be set back; a series goes on.
        _last = Math.Max((cycle.Started + cycle.Took - started).TotalHours, Math.BitIncrement(_last));
        _checks.Add(cycle.Number, _last, cycle.Started, new(_checks.Channel, cycle.Checks.IsEmpty ? Condition.Working : Condition.Dead, cycle.Checks.IsEmpty ? null : cycle.Checks[0]));
        foreach (var channel in cycle.Channels)
        {
            if (!_channels.TryGetValue(channel.Channel, out var tally))
            {
                _channels[channel.Channel] = tally = new(channel.Channel);
                _channelOrder.Add(channel.Channel);
            }
            tally.Add(cycle.Number, _last, cycle.Started, channel);
        }
        foreach (var figure in cycle.Figures)
        {
            if (!_series.TryGetValue(figure.Key, out var series))
                _series[figure.Key] = series = new(figure, new BlockMeans(MostBlocks));
            series.Add(cycle.Number, _last, figure.Value);
        }
    }
}
