using TestRig.Core.Quantities;

namespace TestRig.Core.Captures;

/// <summary>A stretch in which nothing was looked at. Equal levels on both sides prove nothing about what happened inside.</summary>
public sealed record Gap(Instant From, Instant To, GapReason Reason)
{
    public bool Overlaps(Instant from, Instant to) => From < to && from < To;
}
