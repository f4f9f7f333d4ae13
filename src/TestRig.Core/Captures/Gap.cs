using TestRig.Core.Quantities;

namespace TestRig.Core.Captures;

/// <summary>A stretch in which nothing was looked at. Equal levels on both sides prove nothing about what happened inside.</summary>
public sealed record Gap(Instant From, Instant To, GapReason Reason)
{
    /// <summary>
    /// True where looking ended against the plan: what came then is not known, so that nothing that was waited for over this stretch can be called good or bad
    /// for having been quiet. A gap for reading voltages is planned, in a settled state.
    /// </summary>
    public bool IsUnplanned => Reason is GapReason.NoRoomForChanges or GapReason.HostLate or GapReason.NotRecorded;

    public bool Overlaps(Instant from, Instant to) => From < to && from < To;
}
