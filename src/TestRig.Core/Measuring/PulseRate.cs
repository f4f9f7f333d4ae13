using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Core.Measuring;

/// <summary>How fast pulses came, on average from the first to the last.</summary>
/// <param name="StandardUncertainty">To first order that of the time between first and last pulse, in proportion.</param>
/// <param name="ExpandedUncertainty">Half-width of the interval that contains the rate with a probability of 95 %.</param>
public sealed record PulseRate(Hertz Value, Hertz StandardUncertainty, Hertz ExpandedUncertainty)
{
    /// <summary>Null of fewer than two pulses, or when first and last cannot be told apart in time.</summary>
    /// <param name="pulses">The transition that begins each pulse, in order.</param>
    /// <param name="clockTolerance">As a fraction.</param>
    public static PulseRate? Of(ImmutableArray<Change> pulses, double clockTolerance)
    {
        if (pulses.Length < 2)
            return null;
        var took = MeasuredDelay.Between(pulses[0], pulses[^1], clockTolerance);
        if (took.Value <= took.ExpandedUncertainty)
            return null;
        var rate = (pulses.Length - 1) / took.Value.ToSeconds();
        return new(
            new(rate), new(rate * took.StandardUncertainty.Picoseconds / took.Value.Picoseconds), new(rate * took.ExpandedUncertainty.Picoseconds / took.Value.Picoseconds));
    }
}
