using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Core.Measuring;

/// <summary>A delay between two transitions of one capture.</summary>
/// <param name="Value">Best estimate.</param>
/// <param name="StandardUncertainty">
/// Each instant is uniform in its interval (half-width/√3, JCGM 100:2008 4.3.7); two independent ones add in quadrature, which for equal widths
/// gives Δ/√6; the clock's tolerance adds a uniform term in proportion to the delay.
/// </param>
public sealed record MeasuredDelay(Duration Value, Duration StandardUncertainty)
{
    /// <summary>Coverage factor of the expanded uncertainty (about 95 %; JCGM 100:2008 6.3.3).</summary>
    public const int CoverageFactor = 2;

    public Duration ExpandedUncertainty => StandardUncertainty * CoverageFactor;

    /// <param name="clockTolerance">As a fraction.</param>
    public static MeasuredDelay Between(Change cause, Change effect, double clockTolerance)
    {
        var delay = effect.Estimate - cause.Estimate;
        double first = cause.Width.Picoseconds, second = effect.Width.Picoseconds;
        var clock = clockTolerance * delay.Picoseconds;
        var variance = (first * first / 12) + (second * second / 12) + (clock * clock / 3);
        return new(delay, new((long)Math.Ceiling(Math.Sqrt(variance))));
    }
}
