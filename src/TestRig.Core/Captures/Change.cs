using TestRig.Core.Quantities;

namespace TestRig.Core.Captures;

/// <summary>
/// A signal was found at another level. Its true occurrence instant lies in (<paramref name="After"/>, <paramref name="NotAfter"/>]: the look before, and
/// the look that saw it. The width of that interval is all that a sampling adapter knows.
/// </summary>
/// <param name="Level">The level that it changed to.</param>
public readonly record struct Change(Instant After, Instant NotAfter, Level Level)
{
    /// <summary>The middle of the interval: the best estimate of the occurrence instant.</summary>
    public Instant Estimate => new((After.Picoseconds / 2) + (NotAfter.Picoseconds / 2) + (((After.Picoseconds % 2) + (NotAfter.Picoseconds % 2)) / 2));

    public Duration Width => NotAfter - After;

    /// <summary>The same change, known not to have come before <paramref name="instant"/>. An instant outside the interval adds no knowledge.</summary>
    public Change NotBefore(Instant instant) => instant > After && instant < NotAfter ? this with { After = instant } : this;
}
