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

    /// <summary>
    /// The stretches in which nobody knows a signal's level, for no look was at it: from the beginning of each gap to its end, or to the look behind it that found a change which may have been made inside.
    /// </summary>
    public ImmutableArray<(Instant From, Instant To)> UnseenOf(Signal signal) => [.. Gaps.Select(gap => (gap.From, FirstSeen(signal, gap)))];

    private static Instant FirstSeen(Signal signal, Gap gap)
    {
        foreach (var change in signal.Changes)
        {
            if (change.NotAfter >= gap.To)
                return change.After < gap.To ? change.NotAfter : gap.To;
        }
        return gap.To;
    }

    /// <summary>
    /// The same, when something beside the looks knows better when a signal changed. It counts only where the looks saw exactly one change of that signal to
    /// that level, at instants that <paramref name="known"/> does not rule out; otherwise the two do not speak of the same change, and the capture stays as it is.
    /// </summary>
    /// <param name="known">On this capture's clock. The change is then known to lie in what both intervals have in common.</param>
    public Capture Narrowed(string name, Change known)
    {
        if (Find(name) is not { } signal || signal.Changes.Count(change => change.Level == known.Level) != 1)
            return this;
        var seen = signal.Changes.Single(change => change.Level == known.Level);
        var both = seen with { After = Instant.Max(seen.After, known.After), NotAfter = Instant.Min(seen.NotAfter, known.NotAfter) };
        return both.After < both.NotAfter
            ? this with { Signals = Signals.Replace(signal, signal with { Changes = signal.Changes.Replace(seen, both) }) }
            : this;
    }
}
