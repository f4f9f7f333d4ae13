using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Statistics;

namespace TestRig.Core.Measuring;

/// <summary>A duration between two occurrence instants of one capture (IEC 60469: a delay from a cause, or a pulse duration), with what is not known of it.</summary>
/// <param name="Value">Best estimate: from the middle of one interval to the middle of the other.</param>
/// <param name="StandardUncertainty">
/// Each instant is uniform in its interval (half-width/√3, JCGM 100:2008 4.3.7); two independent ones add in quadrature, which for equal widths
/// gives Δ/√6; the clock's tolerance adds a uniform term in proportion to the duration.
/// </param>
/// <param name="ExpandedUncertainty">
/// Half-width of the interval that contains the duration with a probability of 95 %. Not twice the standard uncertainty, which would be right for a normal
/// distribution: a rectangle, a triangle and what lies between have less in their tails (see <see cref="UniformSum"/>).
/// </param>
/// <param name="Guard">
/// What it is judged with (JCGM 106:2012, guard band): so far from <paramref name="Value"/> the duration may lie at all, with both instants at the ends of their intervals and the clock as far off as
/// it may be. Not the 95 %: looks that keep step with the command are no random draws, and one good part in forty at its limit would be called bad.
/// </param>
public sealed record MeasuredDelay(Duration Value, Duration StandardUncertainty, Duration ExpandedUncertainty, Duration Guard)
{
    /// <summary>Standard deviations of what averages that a guard band keeps: more lies beyond them once in 16 000 times.</summary>
    private const double AveragedDeviations = 4;

    /// <summary>Of the interval in which the cause occurred.</summary>
    public Duration CauseWidth { get; init; }

    /// <summary>Of the interval in which the effect occurred.</summary>
    public Duration EffectWidth { get; init; }

    /// <summary>Of the clock, as a fraction.</summary>
    public double ClockTolerance { get; init; }

    /// <param name="clockTolerance">As a fraction, at least 0.</param>
    public static MeasuredDelay Between(Change cause, Change effect, double clockTolerance)
    {
        var delay = effect.Estimate - cause.Estimate;
        return Of(delay, clockTolerance, new UniformPart(cause.Width.Picoseconds / 2.0), new UniformPart(effect.Width.Picoseconds / 2.0)) with
        {
            CauseWidth = cause.Width,
            EffectWidth = effect.Width,
        };
    }

    /// <summary>Of what is known of both instants, and of the clock.</summary>
    /// <param name="instants">In picoseconds.</param>
    internal static MeasuredDelay Of(Duration value, double clockTolerance, params ReadOnlySpan<UniformPart> instants)
    {
        ReadOnlySpan<UniformPart> parts = [.. instants, new(clockTolerance * Math.Abs((double)value.Picoseconds))];
        var (guard, averaged) = (0.0, 0.0);
        foreach (var part in parts)
        {
            guard += part.Count == 1 ? part.HalfWidth : 0;
            averaged += part.Count == 1 ? 0 : part.Variance;
        }
        return new(value, RoundedUp(UniformSum.StandardDeviation(parts)), RoundedUp(UniformSum.HalfWidth(parts)), RoundedUp(guard + (AveragedDeviations * Math.Sqrt(averaged))))
        {
            ClockTolerance = clockTolerance,
        };
    }

    private static Duration RoundedUp(double picoseconds) => new((long)Math.Ceiling(picoseconds));
}
