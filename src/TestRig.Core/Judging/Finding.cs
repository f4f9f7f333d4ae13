using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Judging;

/// <summary>One expected transition, quiet line, level or feedback, judged.</summary>
/// <param name="Stage">0-based index of the stage whose output this is; −1 for the drive point; null for feedback and others.</param>
/// <param name="Cause">The point whose transition the delay is counted from; null when there is none.</param>
/// <param name="CauseAt">Estimated instant of the cause.</param>
/// <param name="ObservedAt">Estimated instant of the transition; null when none was seen.</param>
/// <param name="Delay">From cause to transition.</param>
/// <param name="StandardUncertainty">Of <paramref name="Delay"/>.</param>
/// <param name="Bounces">Transitions after the first.</param>
/// <param name="Pulses">Feedback pulses counted; null for everything else.</param>
/// <param name="Words">The finding as a sentence for a technician.</param>
public sealed record Finding(
    string TestPoint,
    int? Stage,
    Expectation Expected,
    Verdict Verdict,
    Timing? Timing,
    string? Cause,
    Instant? CauseAt,
    Instant? ObservedAt,
    Duration? Delay,
    Duration? Earliest,
    Duration? Latest,
    Duration? StandardUncertainty,
    int Bounces,
    int? Pulses,
    Volts? Level,
    string Words)
{
    /// <summary><see cref="Delay"/> with all that is known of it; null where there is no delay.</summary>
    public MeasuredDelay? Measured { get; init; }

    /// <summary>Half-width of the interval that contains <see cref="Delay"/> with a probability of 95 %.</summary>
    public Duration? ExpandedUncertainty => Measured?.ExpandedUncertainty;

    /// <summary>
    /// Duration of the pulse that this transition ends, from its first transition to the first one back (IEC 60469); null where this one ends none. Not judged: it is the command's own duration and
    /// the difference of two delays, each of which is.
    /// </summary>
    public MeasuredDelay? Pulse { get; init; }

    /// <summary>From the first to the last transition of one arrival, or of a contact's worst closing or opening; null where nothing was seen to settle.</summary>
    public Duration? SettleTime { get; init; }

    /// <summary>How fast feedback pulses came; null of fewer than two pulses, and of everything else.</summary>
    public PulseRate? Rate { get; init; }

    /// <summary>The voltage that was read, with range and uncertainty; null where none was.</summary>
    public LevelReading? Reading { get; init; }

    /// <summary>Changes of a contact, bounces not counted; null of everything else.</summary>
    public int? SettledChanges { get; init; }

    /// <summary>Changes that the machine's own controller takes of that contact, by the debounce window that the profile states; null where it states none.</summary>
    public int? TakenChanges { get; init; }

    /// <summary>What repeats of the exercise found of the same; null where it was not repeated.</summary>
    public FindingRepeats? Repeats { get; init; }

    /// <summary>True when something was seen that is not as expected; what could not be judged is neither wrong nor right.</summary>
    public bool IsWrong => Verdict is not (Verdict.Conforms or Verdict.NotResolved or Verdict.NotTested);
}
