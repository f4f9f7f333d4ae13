using System.Collections.Immutable;

namespace TestRig.Core.Captures;

/// <summary>
/// How an adapter that looks at its inputs again and again spaces its looks, all in ticks, and what a stamp therefore says about the instant of a
/// change. The rule is section 9 of firmware-notes/link-protocol.md.
/// </summary>
/// <param name="Look">L: time between two looks while nothing happens.</param>
/// <param name="Skew">S: the pins of one look are read within this time, ending at its stamp.</param>
/// <param name="Record">D: extra time to the next look after a record was stored.</param>
/// <param name="Housekeeping">
/// H: extra time between looks when housekeeping or a step falls between them, and the time for which either can wait behind the poll that missed it.
/// </param>
/// <param name="HousekeepingPeriod">Housekeeping falls at multiples of this from the capture's start; 0 means never.</param>
public sealed record LookTiming(long Look, long Skew, long Record, long Housekeeping, long HousekeepingPeriod)
{
    /// <summary>The width of a change's interval when nothing else happens near it.</summary>
    public long Width => Look + Skew;

    private long LongestPause => Look + Record + (2 * Housekeeping);

    /// <summary>
    /// When the changes behind these stamps were made. The first stamp is that of the look at the start, which tells levels and no change: there is
    /// one interval less than there are stamps.
    /// </summary>
    /// <param name="stamps">Of all records, strictly ascending.</param>
    /// <param name="steps">Instants of the program's steps, ascending.</param>
    /// <param name="gaps">Ascending, apart from each other.</param>
    public ImmutableArray<LookInterval> Intervals(ReadOnlySpan<long> stamps, ReadOnlySpan<long> steps, ReadOnlySpan<TickGap> gaps)
    {
        var intervals = ImmutableArray.CreateBuilder<LookInterval>(Math.Max(0, stamps.Length - 1));
        var stepsBefore = 0;
        var gapsBefore = 0;
        for (var index = 1; index < stamps.Length; index++)
        {
            var stamp = stamps[index];
            while (stepsBefore < steps.Length && steps[stepsBefore] <= stamp)
                stepsBefore++;
            while (gapsBefore < gaps.Length && gaps[gapsBefore].To < stamp)
                gapsBefore++;
            var latestStep = stepsBefore > 0 ? steps[stepsBefore - 1] : long.MinValue;
            var record = stamps[index - 1];
            intervals.Add(gapsBefore > 0 && gaps[gapsBefore - 1] is var gap && gap.To > record
                ? new(BehindGap(stamp, latestStep, record, gap) - Skew, stamp)
                : new(LookBefore(stamp, latestStep, record) - Skew, stamp));
        }
        return intervals.MoveToImmutable();
    }

    /// <summary>
    /// The end of a gap is no look. When nothing later than it is known, the change may have happened anywhere since the gap's start, or since the last record.
    /// </summary>
    private long BehindGap(long stamp, long latestStep, long record, TickGap gap)
    {
        var before = LookBefore(stamp, latestStep, gap.To);
        return before == gap.To ? Math.Max(gap.From, record) : before;
    }

    /// <summary>A bound that is never later than the end of the look before the one at <paramref name="stamp"/>.</summary>
    /// <param name="latestStep">The latest step not after the stamp.</param>
    /// <param name="known">The latest record or end of a gap before the stamp: from there on the spacing of looks is known.</param>
    private long LookBefore(long stamp, long latestStep, long known)
    {
        if (stamp - known <= Look + Record)
            return known;
        var longestAgo = stamp - LongestPause;
        var pausesCountAfter = Math.Max(known - Housekeeping, longestAgo);
        return latestStep > pausesCountAfter || HousekeepingFallsIn(pausesCountAfter, stamp) ? Math.Max(known, longestAgo) : stamp - Look;
    }

    /// <summary>True when a multiple of the period lies in (<paramref name="after"/>, <paramref name="notAfter"/>].</summary>
    private bool HousekeepingFallsIn(long after, long notAfter) =>
        HousekeepingPeriod > 0 && notAfter - (notAfter % HousekeepingPeriod) > after;
}
