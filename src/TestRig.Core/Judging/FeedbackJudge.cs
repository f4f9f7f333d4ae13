using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Judging;

/// <summary>Judges what the motion itself gives back.</summary>
internal static class FeedbackJudge
{
    /// <summary>
    /// Changes of a contact that lie closer together than this belong to one closing or opening. Longer than the longest bounce quoted for ordinary
    /// switches (6.2 ms; Ganssle, "A Guide to Debouncing", as quoted), shorter than a switch's own dwell on a moving axis.
    /// </summary>
    private static readonly QuietWindow _sameEvent = new(Duration.FromMilliseconds(20));

    public static IEnumerable<Finding> Judge(Channel channel, Capture capture, CommandEdges edges)
    {
        foreach (var feedback in channel.Feedback)
        {
            if (capture.Find(feedback.Point.Name) is not { } signal)
            {
                yield return Make(feedback, Verdict.NotTested, 0, $"{feedback.Point.Name}: no lead there, so it was not looked at.");
                continue;
            }
            yield return feedback switch
            {
                PulseFeedback pulses => JudgePulses(pulses, signal, capture, edges),
                SwitchFeedback contact => JudgeContact(contact, signal, capture, edges),
                _ => throw new InvalidOperationException($"Unknown feedback {feedback}."),
            };
        }
    }

    private static Finding JudgePulses(PulseFeedback expected, Signal signal, Capture capture, CommandEdges edges)
    {
        var to = Instant.Min(capture.End, edges.On.From + expected.Within);
        var arrival = Arrival.Of(signal, edges.On.From, to);
        // A pulse is a departure from the level at rest.
        ImmutableArray<Change> begins = [.. arrival.Changes.Where(change => change.Level != arrival.Before)];
        var pulses = begins.Length;
        var range = string.Create(CultureInfo.InvariantCulture, $"{expected.PulsesMinimum} to {expected.PulsesMaximum} pulses within {expected.Within}");
        if (capture.Gaps.Any(gap => gap.Overlaps(edges.On.From, to)))
        {
            // What was seen to be too much is too much, whatever was missed; a contact that bounces fills the memory itself.
            return pulses > expected.PulsesMaximum
                ? Make(expected, Verdict.Extra, pulses, $"{signal.Name}: {range} expected, {pulses} came and perhaps more, since the adapter was not looking all the time: too fast, or the pick-up bounces.")
                : Make(expected, Verdict.NotResolved, pulses, $"{signal.Name}: {range} expected, but the adapter was not looking all the time.");
        }
        // Over a stretch in which nobody looked the pulses are not all there, and so neither is their rate.
        var rate = PulseRate.Of(begins, capture.ClockTolerance);
        var fast = rate is null ? "" : $" at {rate.Value}";
        if (pulses == 0)
            return Make(expected, Verdict.Absent, 0, $"{signal.Name}: {range} expected, none came: the motor does not turn, or its feedback is dead.");
        if (pulses < expected.PulsesMinimum)
            return Make(expected, Verdict.Late, pulses, $"{signal.Name}: {range} expected, only {pulses} came{fast}: the motion is slow or stalls.") with { Rate = rate };
        return (pulses > expected.PulsesMaximum
            ? Make(expected, Verdict.Extra, pulses, $"{signal.Name}: {range} expected, {pulses} came{fast}: too fast, or the pick-up bounces.")
            : Make(expected, Verdict.Conforms, pulses, $"{signal.Name}: {pulses} pulses within {expected.Within}{fast}.")) with
        { Rate = rate };
    }

    private static Finding JudgeContact(SwitchFeedback expected, Signal signal, Capture capture, CommandEdges edges)
    {
        var arrival = Arrival.Of(signal, edges.On.From, capture.End);
        var events = _sameEvent.Events(arrival.Changes);
        var worstBounces = events.Select(one => one.Length - 1).DefaultIfEmpty(0).Max();
        var worst = events.IsEmpty ? [] : events.MaxBy(one => one[^1].Estimate - one[0].Estimate);
        var worstSettle = worst.IsEmpty ? Duration.Zero : worst[^1].Estimate - worst[0].Estimate;
        // A closing or opening that ends where it began was none.
        var level = arrival.Before;
        var changes = 0;
        foreach (var one in events.Where(one => one[^1].Level != level))
        {
            level = one[^1].Level;
            changes++;
        }
        var taken = expected.Debounce is { } debounce ? new QuietWindow(debounce).Take(arrival.Before, arrival.Changes, capture.End) : null;

        Finding Judged(Verdict verdict, string words) => Make(expected, verdict, worstBounces, words) with
        {
            ObservedAt = verdict is Verdict.NotTested or Verdict.NotResolved || worst.IsEmpty ? null : worst[0].Estimate,
            SettleTime = worst.IsEmpty ? null : worstSettle,
            SettledChanges = changes,
            TakenChanges = taken is { Pending: false } ? taken.Changes.Length : null,
        };
        var limits = $"{expected.BouncesMaximum} bounces and {expected.SettlesWithin} are permitted";
        if (worstBounces > expected.BouncesMaximum || worstSettle > expected.SettlesWithin)
            return Judged(Verdict.Bouncing, $"{signal.Name} bounces {worstBounces} times over {worstSettle}; {limits}.{Takes()}");
        if (capture.Gaps.Any(gap => gap.Reason != GapReason.MeasuringLevels && gap.Overlaps(edges.On.From, capture.End)))
            return Judged(Verdict.NotResolved, $"{signal.Name}: the adapter was not looking all the time.");
        if (arrival.Changes.IsEmpty)
            return Judged(Verdict.NotTested, $"{signal.Name} was not actuated: whether it works was not seen.");
        if (expected.Debounce is { } window && (taken!.Pending || !new QuietWindow(window).IsTold(arrival.Changes, capture.ClockTolerance)))
        {
            return Judged(
                Verdict.NotResolved,
                $"{signal.Name} settles, but whether the machine's debounce of {window} takes each change {(taken.Pending ? "had not shown when the exercise ended" : "is more than this adapter can tell")}.");
        }
        if (taken is not null && taken.Changes.Length != changes)
        {
            return taken.Changes.Length > changes
                ? Judged(Verdict.Bouncing, $"{signal.Name} changes {FindingWords.Times(changes)}, and bounces for longer than the machine waits.{Takes()}")
                : Judged(Verdict.Absent, $"{signal.Name} changes {FindingWords.Times(changes)}, but not for as long as the machine waits.{Takes()}");
        }
        return Judged(Verdict.Conforms, $"{signal.Name} settles: {worstBounces} bounces over {worstSettle}; {limits}.{Takes()}");

        string Takes() => taken is null || expected.Debounce is not { } waits
            ? ""
            : $" The machine, with a debounce of {waits}, takes {FindingWords.Count(taken.Changes.Length, "change")} for {changes}.";
    }

    private static Finding Make(Feedback feedback, Verdict verdict, int count, string words) => new(
        feedback.Point.Name, null, feedback is PulseFeedback ? Expectation.Pulses : Expectation.Settles, verdict, null, null, null, null,
        null, null, null, null, feedback is SwitchFeedback ? count : 0, feedback is PulseFeedback ? count : null, null, words);
}
