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

    /// <summary>Outcome of a lead whose pin follows the check.</summary>
    public const int FollowingLead = 1;

    private enum DelayOutcome
    {
        InTime,
        Late,
        Early,
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
        var moving = result.Mode == ExerciseMode.Motion ? QuietJudge.MotionPoints(board) : new HashSet<string>();
        foreach (var trace in result.Traces)
        {
            yield return moving.Contains(trace.TestPoint)
                ? new(new(channel, trace.TestPoint, SightKind.Moved), trace.Surplus > 0 || trace.Before != trace.During || trace.During != trace.After ? 1 : 0, !blind)
                : new(new(channel, trace.TestPoint, SightKind.Trace), TraceOutcomes.Of(trace, IsSettled(result, trace)), !blind);
        }
        foreach (var finding in result.Findings)
        {
            if (Delay(result, finding) is { } delay)
                yield return delay;
            if (Voltage(result, finding) is { } voltage)
                yield return voltage;
            if (finding.Expected is Expectation.Pulses or Expectation.Settles && (result.Mode == ExerciseMode.Motion || !result.Channel.Line.Motion))
                yield return new(new(channel, finding.TestPoint, SightKind.Feedback), (int)finding.Verdict, finding.Verdict != Verdict.NotResolved);
        }
    }

    /// <summary>A contact in the path may bounce as far as its part permits; every other point changes as often as it must.</summary>
    private static bool IsSettled(ChannelResult result, PointTrace trace) =>
        trace.Surplus == 0
        || (result.Path.FirstOrDefault(point => point.TestPoint == trace.TestPoint) is { Stage: >= 0 and var stage }
            && result.Channel.Stages[stage].Bounce is not null
            && !result.Findings.Any(finding => finding.Stage == stage && finding.Verdict is Verdict.Bouncing or Verdict.Extra));

    private static Seen? Delay(ChannelResult result, Finding finding)
    {
        if (finding is not { Timing: { } timing, Stage: { } stage, Delay: { } delay })
            return null;
        var on = result.Channel.LevelAfter(stage, result.Channel.Line.Active) == (finding.Expected == Expectation.Rises ? Level.High : Level.Low);
        var outcome = timing != Timing.Violates ? DelayOutcome.InTime : delay > finding.Latest ? DelayOutcome.Late : DelayOutcome.Early;
        return new(new(result.Channel.Name, finding.TestPoint, on ? SightKind.DelayOn : SightKind.DelayOff), (int)outcome, timing != Timing.NotResolved);
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
        var outcome = unsteady ? VoltageOutcome.Unsteady : limits.Classify(reading.Mean) switch
        {
            LevelClass.Low => VoltageOutcome.Low,
            LevelClass.High => VoltageOutcome.High,
            _ => VoltageOutcome.Undefined,
        };
        return new(new(result.Channel.Name, finding.TestPoint, on ? SightKind.VoltageOn : SightKind.VoltageOff), (int)outcome, unsteady || low == high);
    }
}
