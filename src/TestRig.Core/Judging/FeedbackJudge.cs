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
    private static readonly Duration _sameEvent = Duration.FromMilliseconds(20);

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
        var pulses = arrival.Changes.Count(change => change.Level != arrival.Before);
        var range = string.Create(CultureInfo.InvariantCulture, $"{expected.PulsesMinimum} to {expected.PulsesMaximum} pulses within {expected.Within}");
        if (capture.Gaps.Any(gap => gap.Overlaps(edges.On.From, to)))
            return Make(expected, Verdict.NotResolved, pulses, $"{signal.Name}: {range} expected, but the adapter was not looking all the time.");
        if (pulses == 0)
            return Make(expected, Verdict.Absent, 0, $"{signal.Name}: {range} expected, none came: the motor does not turn, or its feedback is dead.");
        if (pulses < expected.PulsesMinimum)
            return Make(expected, Verdict.Late, pulses, $"{signal.Name}: {range} expected, only {pulses} came: the motion is slow or stalls.");
        return pulses > expected.PulsesMaximum
            ? Make(expected, Verdict.Extra, pulses, $"{signal.Name}: {range} expected, {pulses} came: too fast, or the pick-up bounces.")
            : Make(expected, Verdict.Conforms, pulses, $"{signal.Name}: {pulses} pulses within {expected.Within}.");
    }

    private static Finding JudgeContact(SwitchFeedback expected, Signal signal, Capture capture, CommandEdges edges)
    {
        var arrival = Arrival.Of(signal, edges.On.From, capture.End);
        var worstBounces = 0;
        var worstSettle = Duration.Zero;
        Instant? worstAt = null;
        var start = 0;
        for (var i = 1; i <= arrival.Changes.Length; i++)
        {
            if (i < arrival.Changes.Length && arrival.Changes[i].Estimate - arrival.Changes[i - 1].Estimate < _sameEvent)
                continue;
            var settle = arrival.Changes[i - 1].Estimate - arrival.Changes[start].Estimate;
            if (worstAt is null || settle > worstSettle)
                worstAt = arrival.Changes[start].Estimate;
            worstBounces = Math.Max(worstBounces, i - 1 - start);
            worstSettle = Duration.Max(worstSettle, settle);
            start = i;
        }

        var limits = $"{expected.BouncesMaximum} bounces and {expected.SettlesWithin} are permitted";
        if (worstBounces > expected.BouncesMaximum || worstSettle > expected.SettlesWithin)
            return Make(expected, Verdict.Bouncing, worstBounces, $"{signal.Name} bounces {worstBounces} times over {worstSettle}; {limits}.") with { ObservedAt = worstAt };
        if (capture.Gaps.Any(gap => gap.Reason != GapReason.MeasuringLevels && gap.Overlaps(edges.On.From, capture.End)))
            return Make(expected, Verdict.NotResolved, worstBounces, $"{signal.Name}: the adapter was not looking all the time.");
return arrival.Changes.IsEmpty
            ? Make(expected, Verdict.NotTested, 0, $"{signal.Name} was not actuated: whether it works was not seen.")
            : Make(expected, Verdict.Conforms, worstBounces, $"{signal.Name} settles: {worstBounces} bounces over {worstSettle}; {limits}.") with { ObservedAt = worstAt };
    }

    private static Finding Make(Feedback feedback, Verdict verdict, int count, string words) => new(
        feedback.Point.Name, null, feedback is PulseFeedback ? Expectation.Pulses : Expectation.Settles, verdict, null, null, null, null,
        null, null, null, null, feedback is SwitchFeedback ? count : 0, feedback is PulseFeedback ? count : null, null, words);
}
