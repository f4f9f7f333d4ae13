using System.Collections.Immutable;

namespace TestRig.Core.Captures;

/// <summary>
/// How an adapter that looks at its inputs again and again spaces its looks, all in ticks, and what a stamp therefore says about the instant of a
/// change. The rule is section 9 of firmware-notes/link-protocol.md.
/// </summary>
/// <param name="Look">L: time between two looks while nothing happens.</param>
/// <param name="Skew">S: the pins of one look are read within this time, ending at its stamp.</param>
/// <param name="Record">D: extra time to the next look after a record was stored or a step done.</param>
/// <param name="Housekeeping">H: extra time between looks when housekeeping falls between them.</param>
/// <param name="HousekeepingPeriod">Housekeeping falls at multiples of this from the capture's start; 0 means never.</param>
public sealed record LookTiming(long Look, long Skew, long Record, long Housekeeping, long HousekeepingPeriod)
{
    private long LongestPause => Look + Record + Housekeeping;

    /// <summary>The width of a change's interval when nothing else happens near it.</summary>
    public long Width => Look + Skew;

    /// <summary>When the changes behind these stamps were made. Steps and ends of gaps are instants at which the spacing of looks is known.</summary>
    /// <param name="stamps">Of all records, strictly ascending.</param>
    /// <param name="steps">Instants of the program's steps, ascending.</param>
    /// <param name="gaps">Ascending.</param>
    public ImmutableArray<LookInterval> Intervals(ReadOnlySpan<long> stamps, ReadOnlySpan<long> steps, ReadOnlySpan<TickGap> gaps)
    {
        var intervals = ImmutableArray.CreateBuilder<LookInterval>(stamps.Length);
        var step = 0;
        var gap = 0;
        long? latest = null;
        foreach (var stamp in stamps)
        {
            for (; step < steps.Length && steps[step] < stamp; step++)
                latest = Latest(latest, steps[step]);
            for (; gap < gaps.Length && gaps[gap].To < stamp; gap++)
                latest = Latest(latest, gaps[gap].To);
            intervals.Add(new(LookBefore(stamp, latest) - Skew, stamp));
            latest = Latest(latest, stamp);
        }
        return intervals.MoveToImmutable();
    }

    /// <summary>
    /// The same intervals, opened to before a gap wherever the look that saw the change may have been the first one after the gap: what was
    /// seen then may have happened while nobody looked.
    /// </summary>
    /// <param name="intervals">Of <see cref="Intervals"/>, for the same gaps.</param>
    /// <param name="gaps">Ascending.</param>
    public ImmutableArray<LookInterval> OpenedOverGaps(ImmutableArray<LookInterval> intervals, ReadOnlySpan<TickGap> gaps)
    {
        var opened = intervals.ToBuilder();
        foreach (var gap in gaps)
        {
            var index = FirstAtOrAfter(intervals, gap.To);
            if (index == intervals.Length || intervals[index].NotAfter - gap.To > LongestPause)
                continue;
            var lookBeforeGap = gap.From - LongestPause;
            if (index > 0)
                lookBeforeGap = Math.Max(lookBeforeGap, intervals[index - 1].NotAfter);
            opened[index] = opened[index] with { After = Math.Min(opened[index].After, lookBeforeGap - Skew) };
        }
        return opened.MoveToImmutable();
    }

    private long LookBefore(long stamp, long? latest)
    {
        if (latest is { } known && stamp - known <= LongestPause)
            return known;
        return HousekeepingFallsIn(stamp - Look - Housekeeping, stamp) ? stamp - Look - Housekeeping : stamp - Look;
    }

    /// <summary>True when a multiple of the period lies in (<paramref name="after"/>, <paramref name="notAfter"/>].</summary>
    private bool HousekeepingFallsIn(long after, long notAfter) =>
        HousekeepingPeriod > 0 && notAfter - FloorRemainder(notAfter) > after;

    private long FloorRemainder(long value) => ((value % HousekeepingPeriod) + HousekeepingPeriod) % HousekeepingPeriod;

    private static long Latest(long? known, long instant) => known is { } other && other > instant ? other : instant;

    private static int FirstAtOrAfter(ImmutableArray<LookInterval> intervals, long instant)
    {
        var (low, high) = (0, intervals.Length);
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (intervals[middle].NotAfter < instant)
                low = middle + 1;
            else
                high = middle;
        }
        return low;
    }
}
