using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Judging;

/// <summary>What the repeats of an exercise found of one expected transition, level or feedback.</summary>
/// <param name="Number">Repeats in which it was looked for.</param>
/// <param name="Agreeing">Those of them with the verdict that is told.</param>
public sealed record FindingRepeats(int Number, int Agreeing)
{
    /// <summary>Repeats in which its delay was measured.</summary>
    public int Delays { get; init; }

    /// <summary>Of those; null when there is none.</summary>
    public MeasuredDelay? MeanDelay { get; init; }

    /// <summary>Experimental standard deviation of the delays; null of fewer than two.</summary>
    public Duration? DelaySpread { get; init; }

    /// <summary>Of the duration of the pulse that it ends.</summary>
    public MeasuredDelay? MeanPulse { get; init; }

    /// <summary>Experimental standard deviation of the pulses' durations; null of fewer than two.</summary>
    public Duration? PulseSpread { get; init; }

    /// <summary>Of the readings' means. What is not known of it is what is not known of one reading: reference and converter are the same each time.</summary>
    public Volts? MeanLevel { get; init; }

    /// <summary>Experimental standard deviation of the readings' means; null of fewer than two.</summary>
    public Volts? LevelSpread { get; init; }

    /// <summary>Most transitions after the first in any repeat.</summary>
    public int MostBounces { get; init; }

    /// <summary>Fewest and most feedback pulses in any repeat; null of everything else.</summary>
    public (int Fewest, int Most)? Pulses { get; init; }
}
