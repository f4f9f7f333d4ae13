using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Judging;

/// <summary>Findings as sentences. What was expected, what was seen, in that order where both are needed.</summary>
internal static class FindingWords
{
    public static string Transition(
        string point, Level expected, Verdict verdict, Timing? timing, string cause, DelayRange range, MeasuredDelay? delay, Arrival arrival, GapReason? blind)
    {
        var arrives = expected.ArrivalWord();
        var window = $"{range.Earliest} to {range.Latest} after {cause}";
        return verdict switch
        {
            Verdict.Conforms when timing == Timing.NotResolved =>
                $"{point} {arrives} as it should; whether its delay is within {range.Earliest} to {range.Latest} is more than this adapter can tell.",
            Verdict.Conforms => $"{point} {arrives} {delay?.Value} after {cause}.",
            Verdict.Absent when arrival.Before == expected =>
                $"{point} should have gone {expected.Word()} only after {cause}; it was {expected.Word()} before and stayed so.",
            Verdict.Absent => $"{point} should have gone {expected.Word()} after {cause}; it stayed {arrival.Before.Word()}.",
            Verdict.WrongWay => $"{point} should have gone {expected.Word()}; it went {arrival.After.Word()}.",
            Verdict.Late => $"{point} {arrives} {delay?.Value} after {cause}: late, {range.Latest} is the latest permitted.",
            Verdict.Early => $"{point} {arrives} {delay?.Value} after {cause}: earlier than {range.Earliest}, sooner than the part can answer.",
            Verdict.Bouncing => $"{point} {arrives}, but with {arrival.Bounces} more transitions within {arrival.SettleTime}.",
            Verdict.Extra when arrival.After != expected => $"{point} went {expected.Word()} and did not stay there ({arrival.Changes.Length} transitions).",
            Verdict.Extra => $"{point} was {expected.Word()} already and left that level for {arrival.SettleTime}.",
            Verdict.NotResolved when blind == GapReason.NotRecorded =>
                $"{point}: expected to go {expected.Word()} {window}, but the recording does not tell its level all the time: what happened meanwhile is not known.",
            Verdict.NotResolved when blind == GapReason.HostLate =>
                $"{point}: expected to go {expected.Word()} {window}, but the computer was late with a look: what happened meanwhile is not known. Close other programs, then sweep again.",
            Verdict.NotResolved when arrival.First is not null =>
                $"{point} changed after {cause}, but the adapter's memory for changes was full before the end: how it went on is not known.",
            Verdict.NotResolved => $"{point}: expected to go {expected.Word()} {window}, but the adapter was not looking then.",
            _ => throw new InvalidOperationException($"A transition is never judged {verdict}."),
        };
    }

    /// <summary>Of the mean of repeats, each of which did as it should.</summary>
    public static string MeanTransition(
        Finding finding, Verdict verdict, Timing timing, MeasuredDelay mean, Duration earliest, Duration latest, int repeats)
    {
        var arrives = (finding.Expected == Expectation.Rises ? Level.High : Level.Low).ArrivalWord();
        var delay = string.Create(CultureInfo.InvariantCulture, $"{mean.Value} after {finding.Cause} in the mean of {repeats}");
        return verdict switch
        {
            Verdict.Late => $"{finding.TestPoint} {arrives} {delay}: late, {latest} is the latest permitted. No single repeat could tell.",
            Verdict.Early => $"{finding.TestPoint} {arrives} {delay}: earlier than {earliest}, sooner than the part can answer. No single repeat could tell.",
            _ when timing == Timing.NotResolved =>
                $"{finding.TestPoint} {arrives} as it should; whether its delay is within {earliest} to {latest} is more than this adapter can tell, in {repeats} repeats too.",
            _ => $"{finding.TestPoint} {arrives} {delay}.",
        };
    }

    /// <summary>What a contact did on arriving, and what it may do; empty for an output that is none.</summary>
    public static string Bounces(Arrival arrival, ContactBounce? permitted) => permitted is null
        ? ""
        : arrival.Bounces > permitted.Most || arrival.SettleTime > permitted.Within
        ? string.Create(CultureInfo.InvariantCulture, $" {permitted.Most} within {permitted.Within} are permitted.")
        : string.Create(CultureInfo.InvariantCulture, $" Bounces: {arrival.Bounces} over {arrival.SettleTime}; {permitted.Most} and {permitted.Within} are permitted.");

    public static string Restless(string point, int changes) =>
        $"{point} changed {Times(changes)} before anything was commanded: it does not settle, or is bridged to another net.";

    /// <summary>"1 change", "3 changes".</summary>
    public static string Count(int count, string thing) => string.Create(CultureInfo.InvariantCulture, $"{count} {thing}{(count == 1 ? "" : "s")}");

    public static string Times(int count) => count == 1 ? "once" : $"{count} times";

    public static string LevelNotRead(string point, Level expected) =>
        $"{point} should be {expected.Word()}, but its voltage was not read: the adapter had no room left.";

    public static string LevelReadLate(string point, LevelReading reading) =>
        $"{point} reads {reading.Mean}, perhaps before it had settled: the computer was late. Close other programs, then sweep again.";

    public static string LevelReading(string point, Level expected, Verdict verdict, LevelReading reading, LevelLimits limits) => verdict switch
    {
        Verdict.Conforms => $"{point} is {expected.Word()} at {reading.Mean}.",
        Verdict.Weak when LevelJudge.IsUnsteady(reading, expected, limits) =>
            $"{point} should be {expected.Word()}, but is unsteady: {reading.Samples} samples lie between {reading.Minimum} and {reading.Maximum}, and not all of them are {expected.Word()} ({limits.LowMaximum}, {limits.HighMinimum}).",
        Verdict.Weak => $"{point} should be {expected.Word()}, but {reading.Mean} lies between {limits.LowMaximum} and {limits.HighMinimum}: undefined, a receiver may take it for either.",
        Verdict.WrongWay => $"{point} should be {expected.Word()}; it reads {reading.Mean}.",
        _ => $"{point} reads {reading.Mean}, too near to a limit ({limits.LowMaximum}, {limits.HighMinimum}) for this adapter to tell.",
    };
}
