using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Diagnosing;

/// <summary>A judged channel as outcomes of sights: what a diagnosis starts from. Nothing in it depends on what anybody expects of the board but limits: of delays, of levels, of bounce.</summary>
public static class ChannelSights
{
    /// <summary>Outcome of a voltage in the undefined region.</summary>
    public const int UndefinedVoltage = (int)VoltageOutcome.Undefined;

    /// <summary>Outcome of a delay within its limits.</summary>
    public const int DelayInTime = (int)DelayOutcome.InTime;

    /// <summary>Outcome of a lead whose pin follows the check.</summary>
    public const int FollowingLead = 1;

    private enum DelayOutcome
    {
        Early,
        InTime,
        Late,
    }

    private enum VoltageOutcome
    {
        Low,
        Undefined,
        High,
        Unsteady,
    }

    private enum Ended
    {
        Complete,
        ByStop,
        Otherwise,
    }

    /// <summary>Nothing of a channel that was not exercised.</summary>
    public static IEnumerable<Seen> Of(Board board, ChannelResult result)
    {
        if (result.Capture is not { } capture)
            yield break;
        var channel = result.Channel.Name;
        yield return new(new(channel, "", SightKind.Exercise), (int)(capture.Ending.Outcome switch
        {
            CaptureOutcome.Complete => Ended.Complete,
            CaptureOutcome.StopInput => Ended.ByStop,
            _ => Ended.Otherwise,
        }));
        // What was cut short by hand tells nothing; what a stop input ended is as it is.
        if (capture.Ending.Outcome is not (CaptureOutcome.Complete or CaptureOutcome.StopInput))
            yield break;
        var blind = capture.Gaps.Any(gap => gap.IsUnplanned);
        // Where the machine stands, and so what its contacts show at rest, is no fault.
        var moving = QuietJudge.MotionPoints(board);
        // Whether a motion passes by a contact depends on where it begins.
        var passedByChance = result.Mode == ExerciseMode.Motion ? board.Channels.SelectMany(other => other.Feedback).OfType<SwitchFeedback>().Select(feedback => feedback.Point.Name).ToHashSet() : [];
        // Behind its divider a supply may come to where an input keeps whatever it read last; its voltage is what tells.
        var supplies = board.Supplies.Select(supply => supply.SensedAt?.Name).ToHashSet();
        foreach (var trace in result.Traces)
        {
            if (moving.Contains(trace.TestPoint))
            {
                var moved = trace.Surplus > 0 || trace.Before != trace.During || trace.During != trace.After;
                yield return new(new(channel, trace.TestPoint, SightKind.Moved), moved ? 1 : 0, !blind && (moved || !passedByChance.Contains(trace.TestPoint)));
                continue;
            }
            var seen = new Seen(new(channel, trace.TestPoint, SightKind.Trace), TraceOutcomes.Of(trace, IsSettled(result, trace)), !blind);
            yield return seen.Surely && supplies.Contains(trace.TestPoint) && TraceOutcomes.IsOneLevel(seen.Possible) ? seen with { Possible = TraceOutcomes.AnyOneLevel } : seen;
        }
        foreach (var finding in result.Findings)
        {
            if (Delay(result, finding) is { } delay)
                yield return delay;
            if (Voltage(result, finding) is { } voltage)
                yield return voltage;
            if (finding.Expected is Expectation.Pulses or Expectation.Settles && (result.Mode == ExerciseMode.Motion || !result.Channel.Line.Motion))
                yield return new(new(channel, finding.TestPoint, SightKind.Feedback), (int)finding.Verdict, finding.Verdict is not (Verdict.NotResolved or Verdict.NotTested));
        }
    }

    /// <summary>A contact in the path may bounce as far as its part permits; every other point changes as often as it must.</summary>
    private static bool IsSettled(ChannelResult result, PointTrace trace) =>
        trace.Surplus == 0
        || (result.Path.FirstOrDefault(point => point.TestPoint == trace.TestPoint) is { Stage: >= 0 and var stage }
            && result.Channel.Stages[stage].Bounce is not null
            && !result.Findings.Any(finding => finding.Stage == stage && finding.Verdict is Verdict.Bouncing or Verdict.Extra));

    /// <summary>The delays of a judged channel, as they were measured.</summary>
    public static IEnumerable<(Sight Sight, Duration Delay)> DelaysOf(ChannelResult result) =>
        result.Findings.Where(finding => finding is { Timing: not null, Stage: not null, Delay: not null }).Select(finding => (DelaySight(result, finding), finding.Delay!.Value));

    private static Sight DelaySight(ChannelResult result, Finding finding)
    {
        var on = result.Channel.LevelAfter(finding.Stage!.Value, result.Channel.Line.Active) == (finding.Expected == Expectation.Rises ? Level.High : Level.Low);
        return new(result.Channel.Name, finding.TestPoint, on ? SightKind.DelayOn : SightKind.DelayOff);
    }

    private static Seen? Delay(ChannelResult result, Finding finding)
    {
        if (finding is not { Timing: { } timing, Stage: not null, Delay: { } delay })
            return null;
        var sight = DelaySight(result, finding);
        if (timing == Timing.Violates)
            return new(sight, (int)(delay > finding.Latest ? DelayOutcome.Late : DelayOutcome.Early));
        if (timing == Timing.Conforms || finding.Measured is not { } measured)
            return new(sight, (int)DelayOutcome.InTime, timing == Timing.Conforms);
        return Seen.Between(
            sight, (int)DelayOutcome.InTime,
            (int)(delay - measured.Guard < finding.Earliest ? DelayOutcome.Early : DelayOutcome.InTime),
            (int)(delay + measured.Guard > finding.Latest ? DelayOutcome.Late : DelayOutcome.InTime));
    }

    private static Seen? Voltage(ChannelResult result, Finding finding)
    {
        if (finding is not { Reading: { } reading, Stage: { } stage } || finding.Verdict == Verdict.NotTested)
            return null;
        var on = result.Channel.LevelAfter(stage, result.Channel.Line.Active) == (finding.Expected == Expectation.HighLevel ? Level.High : Level.Low);
        var limits = result.Channel.Stages[stage].Levels;
        var guard = reading.Guard.Value;
        var (low, high) = (limits.Classify(new(reading.Minimum.Value - guard)), limits.Classify(new(reading.Maximum.Value + guard)));
        var unsteady = LevelJudge.IsUnsteady(reading, Level.Low, limits) || LevelJudge.IsUnsteady(reading, Level.High, limits);
        var sight = new Sight(result.Channel.Name, finding.TestPoint, on ? SightKind.VoltageOn : SightKind.VoltageOff);
        return unsteady ? new(sight, (int)VoltageOutcome.Unsteady) : Seen.Between(sight, (int)Of(limits.Classify(reading.Mean)), (int)Of(low), (int)Of(high));

        static VoltageOutcome Of(LevelClass level) => level switch
        {
            LevelClass.Low => VoltageOutcome.Low,
            LevelClass.High => VoltageOutcome.High,
            _ => VoltageOutcome.Undefined,
        };
    }
}
