using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Judging;

/// <summary>The logic and the timing of a single expected transition.</summary>
public static class TransitionJudge
{
    /// <summary>
    /// Did the right transition come? <see cref="Verdict.NotResolved"/> when none was seen and the adapter was not looking while it was due, or when it stopped
    /// looking before the end.
    /// </summary>
    /// <param name="dueUntil">The latest instant at which the transition is permitted.</param>
    /// <param name="to">Until when it was waited for.</param>
    /// <param name="permitted">How much it may bounce on arriving; null when not at all.</param>
    public static Verdict Logic(
        Arrival arrival, Level expected, ImmutableArray<Gap> gaps, Instant from, Instant dueUntil, Instant to, ContactBounce? permitted = null)
    {
        // A full memory says nothing about what came after it; a gap for reading levels matters only where the transition is due.
        var blind = gaps.Any(gap => gap.Overlaps(from, gap.Reason == GapReason.MeasuringLevels ? dueUntil : to));
        if (arrival.First is not { } first)
            return blind ? Verdict.NotResolved : Verdict.Absent;
        if (first.Level != expected)
            return arrival.After == expected ? Verdict.Extra : Verdict.WrongWay;
        if (arrival.After != expected)
            return Verdict.Extra;
        if (arrival.Bounces > (permitted?.Most ?? 0) || arrival.SettleTime > (permitted?.Within ?? Duration.Zero))
            return Verdict.Bouncing;
        // What was right so far may have been withdrawn after the memory was full, or may have bounced while the host was late.
        return gaps.Any(gap => gap.IsUnplanned && gap.Overlaps(from, to)) ? Verdict.NotResolved : Verdict.Conforms;
    }

    /// <summary>
    /// Guard-banded on both sides after JCGM 106:2012 8.3, with <see cref="MeasuredDelay.Guard"/>: it conforms, or violates, only when all that the delay may be does. No effect comes before
    /// its cause: a lower limit at or below zero is met by nature.
    /// </summary>
    public static Timing Within(MeasuredDelay delay, Duration earliest, Duration latest)
    {
        var low = delay.Value - delay.Guard;
        var high = delay.Value + delay.Guard;
        if (low > latest || high < earliest)
            return Timing.Violates;
        return high <= latest && (earliest <= Duration.Zero || low >= earliest) ? Timing.Conforms : Timing.NotResolved;
    }
}
