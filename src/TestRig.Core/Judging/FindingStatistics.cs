using TestRig.Core.Measuring;
using TestRig.Core.Quantities;
using TestRig.Core.Statistics;

namespace TestRig.Core.Judging;

/// <summary>Gathers what repeats find of one and the same expectation. Takes the same room however many there are.</summary>
internal sealed class FindingStatistics(Duration look, bool causeIsCommand)
{
    private readonly Dictionary<Verdict, int> _verdicts = [];
    private readonly Dictionary<Timing, int> _timings = [];
    private readonly DelayRepeats _delays = new(look, causeIsCommand);
    // A pulse that the command's own line makes begins and ends with a step; another's ends in a look that nothing is known to have moved.
    private readonly DelayRepeats _pulses = new(Duration.Zero, causeIsStepped: false);
    private readonly RunningMean _levels = new();
    private readonly RunningMean _counts = new();
    private int _mostBounces;

    private int Number => _verdicts.Values.Sum();

    /// <summary>The mean of the delays, when every repeat had one; null otherwise.</summary>
    public MeasuredDelay? MeanDelay(int repeats) => _delays.Count == repeats ? _delays.Mean : null;

    public int Times(Timing timing) => _timings.GetValueOrDefault(timing);

    public void Add(Finding finding)
    {
        _verdicts[finding.Verdict] = _verdicts.GetValueOrDefault(finding.Verdict) + 1;
        if (finding.Timing is { } timing)
            _timings[timing] = _timings.GetValueOrDefault(timing) + 1;
        if (finding.Measured is { } delay)
            _delays.Add(delay);
        if (finding.Pulse is { } pulse)
            _pulses.Add(pulse);
        if (finding.Level is { } level)
            _levels.Add(level.Value);
        if (finding.Pulses is { } count)
            _counts.Add(count);
        _mostBounces = Math.Max(_mostBounces, finding.Bounces);
    }

    public FindingRepeats Of(Verdict told) => new(Number, _verdicts.GetValueOrDefault(told))
    {
        Delays = _delays.Count,
        MeanDelay = _delays.Count == 0 ? null : _delays.Mean,
        DelaySpread = _delays.Spread,
        MeanPulse = _pulses.Count == 0 ? null : _pulses.Mean,
        PulseSpread = _pulses.Spread,
        MeanLevel = _levels.Count == 0 ? null : new(_levels.Mean),
        LevelSpread = _levels.StandardDeviation is { } spread ? new(spread) : null,
        MostBounces = _mostBounces,
        Pulses = _counts.Count == 0 ? null : ((int)_counts.Minimum, (int)_counts.Maximum),
    };
}
