using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Captures;

/// <summary>All signals of one exercise on the adapter's clock.</summary>
/// <param name="Tick">The step of the adapter's clock.</param>
/// <param name="Resolution">The width of a change's interval when nothing else happens near it: tick plus time between looks plus skew.</param>
/// <param name="ClockTolerance">Of the adapter's oscillator, as a fraction: 0.005 for ±0.5 %.</param>
/// <param name="End">The last instant of the capture; the first is <see cref="Instant.Start"/>.</param>
public sealed record Capture(
    Duration Tick,
    Duration Resolution,
    double ClockTolerance,
    Instant End,
    ImmutableArray<Signal> Signals,
    ImmutableArray<Gap> Gaps,
    ImmutableArray<LevelReading> Levels,
    CaptureEnding Ending)
{
    /// <summary>How punctual the computer was that timed this capture; null when the adapter timed it by itself.</summary>
    public HostTiming? HostTiming { get; init; }

    /// <summary>The signal of that name; null when it was not captured.</summary>
    public Signal? Find(string name) => Signals.FirstOrDefault(signal => signal.Name == name);
}
