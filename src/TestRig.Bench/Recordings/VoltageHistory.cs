using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Recordings;

/// <summary>
/// The last voltages of one test point, and the level that they make of it. A voltage between the limits is neither: the point keeps the level that it has until the other one is reached,
/// and the change then lies anywhere between the last voltage of the one and the first of the other.
/// </summary>
internal sealed class VoltageHistory(LevelLimits limits)
{
    /// <summary>As many as a sweep averages.</summary>
    private const int Samples = 8;

    private readonly Queue<(Instant At, double Voltage)> _samples = new(Samples + 1);
    private Instant? _leftAfter;
    private Level? _level;

    public LevelLimits Limits => limits;

    /// <summary>The level that it has with this voltage, and since when it may have: null while none is known.</summary>
    public (Level? Level, Instant After) Take(double voltage, Instant after, Instant at)
    {
        if (!double.IsFinite(voltage))
        {
            _samples.Clear();
            (_leftAfter, _level) = (null, null);
            return (null, after);
        }
        _samples.Enqueue((at, voltage));
        if (_samples.Count > Samples)
            _samples.Dequeue();
        if (limits.Classify(new(voltage)) is var now && now == LevelClass.Undefined)
        {
            _leftAfter ??= after;
            return (_level, after);
        }
        var since = _leftAfter ?? after;
        (_leftAfter, _level) = (null, now == LevelClass.High ? Level.High : Level.Low);
        return (_level, since);
    }

    /// <summary>The mean of the last voltages in a state; null where none was recorded in it.</summary>
    /// <param name="settled">Earlier ones do not count.</param>
    /// <param name="until">Nor does what was recorded then or later.</param>
    /// <param name="lasts">A voltage lasts until another is told.</param>
    public LevelReading? Reading(string point, Instant settled, Instant until, bool lasts)
    {
        var within = _samples.Where(sample => sample.At > settled && sample.At < until).ToList();
        var last = until - new Duration(1);
        if (within.Count == 0 && lasts && last > settled && _samples.Any(sample => sample.At <= settled))
            within.Add((last, _samples.Last(sample => sample.At <= settled).Voltage));
        return within.Count == 0 ? null : new(
            point, within[0].At, new(within.Average(sample => sample.Voltage)), new(within.Min(sample => sample.Voltage)), new(within.Max(sample => sample.Voltage)), within.Count, default);
    }
}
