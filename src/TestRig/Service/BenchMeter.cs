using System.Diagnostics.Metrics;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Service;

/// <summary>Figures of the benches for whoever gathers metrics. Names end in units as Prometheus has them (its naming conventions).</summary>
internal sealed class BenchMeter : IDisposable
{
    public const string Name = "TestRig";

    private readonly Meter _meter = new(Name);
    private readonly Counter<long> _cycles, _failingCycles, _failures, _damagedFrames;
    private readonly Lock _lock = new();
    private readonly Dictionary<(string Bench, string Channel), double> _worst = [];
    private readonly Dictionary<string, long> _damaged = [];

    public BenchMeter()
    {
        _cycles = _meter.CreateCounter<long>("testrig.cycles", description: "Cycles that are stored; a sweep is one.");
        _failingCycles = _meter.CreateCounter<long>("testrig.cycles.failing", description: "Cycles with a failing channel or check.");
        _failures = _meter.CreateCounter<long>("testrig.failures", description: "Cycles in which a channel failed.");
        _damagedFrames = _meter.CreateCounter<long>("testrig.link.errors", description: "Frames that arrived damaged, overruns and repeated requests of the link to the adapter.");
        _meter.CreateObservableGauge("testrig.delay.worst", WorstDelays, unit: "s", description: "The worst delay of a channel in the latest run of its bench.");
    }

    /// <summary>A cycle of a soak.</summary>
    public void Count(string bench, CycleDone done)
    {
        CountCycle(bench, done.Cycle.Failed, done.Cycle.Channels.Where(channel => channel.Failed).Select(channel => channel.Channel));
        CountLink(bench, done.Link);
        var worst = done.Tally.Series.Where(series => series.Key.Kind == FigureKind.Delay).GroupBy(series => series.Key.Channel).Select(series => (series.Key, series.Max(each => each.Most)));
        Keep(bench, worst);
    }

    /// <summary>A sweep as a whole.</summary>
    public void Count(string bench, SweepResult result)
    {
        CountCycle(bench, result.AnyFaulty, result.Channels.Where(channel => channel.IsFaulty).Select(channel => channel.Channel.Name));
        CountLink(bench, result.Link);
        Keep(bench, CycleRecords.Of(1, result, result.Started, TimeSpan.Zero).Figures.Where(figure => figure.Key.Kind == FigureKind.Delay).GroupBy(figure => figure.Key.Channel).Select(figures => (figures.Key, figures.Max(figure => figure.Value))));
    }

    /// <summary>A run begins: what was worst in the one before is no longer told.</summary>
    public void Begin(string bench)
    {
        lock (_lock)
        {
            foreach (var key in _worst.Keys.Where(key => key.Bench == bench).ToList())
                _worst.Remove(key);
            _damaged.Remove(bench);
        }
    }

    public void Dispose() => _meter.Dispose();

    private void CountCycle(string bench, bool failed, IEnumerable<string> failing)
    {
        _cycles.Add(1, Of(bench));
        if (failed)
            _failingCycles.Add(1, Of(bench));
        foreach (var channel in failing)
            _failures.Add(1, Of(bench), new("channel", channel));
    }

    /// <summary>The link counts from where it was opened: what is new since the last look is added, and all of it when it was opened anew.</summary>
    private void CountLink(string bench, LinkHealth? link)
    {
        if (link is null)
            return;
        var errors = link.Damaged + (link.Overruns ?? 0) + link.Repeats;
        long added;
        lock (_lock)
        {
            var before = _damaged.GetValueOrDefault(bench);
            added = errors >= before ? errors - before : errors;
            _damaged[bench] = errors;
        }
        _damagedFrames.Add(added, Of(bench));
    }

    private void Keep(string bench, IEnumerable<(string Channel, long Picoseconds)> worst)
    {
        lock (_lock)
        {
            foreach (var (channel, picoseconds) in worst)
                _worst[(bench, channel)] = picoseconds * 1e-12;
        }
    }

    private List<Measurement<double>> WorstDelays()
    {
        lock (_lock)
            return [.. _worst.Select(entry => new Measurement<double>(entry.Value, Of(entry.Key.Bench), new("channel", entry.Key.Channel)))];
    }

    private static KeyValuePair<string, object?> Of(string bench) => new("bench", bench);
}
