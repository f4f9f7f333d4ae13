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
    /// <summary>True when something was seen that is not as expected; what could not be judged is neither wrong nor right.</summary>
    public bool IsWrong => Verdict is not (Verdict.Conforms or Verdict.NotResolved or Verdict.NotTested);
}
