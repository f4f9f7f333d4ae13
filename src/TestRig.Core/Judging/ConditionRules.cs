using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>From findings to one condition for the channel.</summary>
internal static class ConditionRules
{
    public static (Condition Condition, Finding? FirstFailure, string Words) Summarise(
        Channel channel, ExerciseMode mode, ImmutableArray<PathPoint> path, ImmutableArray<Finding> findings, CaptureEnding ending)
    {
        var extra = findings.FirstOrDefault(finding => finding.Expected == Expectation.Quiet && finding.Stage is null);
        if (ending.Outcome != CaptureOutcome.Complete)
        {
            // With motion, a limit switch of the channel's own is among what should have been quiet only where it was no end of travel.
            return mode == ExerciseMode.Motion && extra is not null && extra.TestPoint == ending.StoppedBy ? (Condition.Crossed, extra, extra.Words) : (Condition.NotTested, null, EndedEarly(ending));
        }

        var moves = findings.Any(finding => finding.Pulses > 0);
        var failing = path.FirstOrDefault(point => IsFailing(point) && !IsOnlyItsLead(point, path, moves));
        if (failing is not null)
        {
            var first = failing.State == PointState.Weak
                ? findings.First(finding => finding.Stage == failing.Stage && finding.Level is not null && finding.Verdict is Verdict.Weak or Verdict.WrongWay)
                : FirstBadFinding(findings, failing.Stage);
            if (extra is not null && failing.State == PointState.StaysIdle)
                return (Condition.Crossed, first, $"{first.Words} Instead: {extra.Words}");
            return (ConditionOf(channel, failing), first, first.Words);
        }

        if (findings.FirstOrDefault(finding => finding.Stage == -1 && finding.Verdict == Verdict.NotResolved) is { } unseen)
            return (Condition.NotTested, null, extra is null ? unseen.Words : $"{unseen.Words} {extra.Words} Put that right first.");
        if (extra is not null)
            return (Condition.Crossed, extra, extra.Words);
        // Behind what moves together with another channel: a motion that is commanded both ways does not come.
        if (findings.FirstOrDefault(IsBadFeedback) is { } feedback)
            return (feedback.Verdict switch { Verdict.Absent => Condition.Dead, Verdict.Late => Condition.Slow, _ => Condition.Bouncing }, feedback, feedback.Words);
        if (path.FirstOrDefault(IsFailing) is { } lead)
        {
            var responds = path.FirstOrDefault(point => point.Stage > lead.Stage && point.Responds)?.TestPoint
                ?? findings.First(finding => finding.Pulses > 0).TestPoint;
            var check = lead.Lead == LeadState.Follows ? ", and its pin follows the lead check" : "";
            return (Condition.LeadOpen, FirstBadFinding(findings, lead.Stage),
                $"The command passes: {responds}, behind it, responds. So the reading at {lead.TestPoint} is wrong{check}: its lead is open or clipped elsewhere.");
        }
        return Passing(channel, mode, path, findings);
    }

    private static (Condition Condition, Finding? FirstFailure, string Words) Passing(
        Channel channel, ExerciseMode mode, ImmutableArray<PathPoint> path, ImmutableArray<Finding> findings)
    {
        if (findings.FirstOrDefault(finding => finding.Verdict == Verdict.NotResolved) is { } open)
            return (Condition.NotTested, null, open.Words);
        if (findings.FirstOrDefault(finding => finding.Verdict == Verdict.NotTested && !IsNoBar(channel, mode, finding)) is { } missing)
            return (Condition.NotTested, null, missing.Words);
        if (path[^1].State == PointState.Unseen)
            return (Condition.NotTested, null, $"Nothing watches {path[^1].TestPoint}, the last stage: connect its test point to an adapter input.");
        return (Condition.Working, null, WorkingWords(channel, mode, path, findings));
    }

    /// <summary>
    /// Feedback of a motion is not tested in logic-only mode, and need not be. A command may, but need not, actuate a switch: that it did not is said, and
    /// is no bar.
    /// </summary>
    private static bool IsNoBar(Channel channel, ExerciseMode mode, Finding untested) =>
        untested.Stage is null
        && ((mode == ExerciseMode.LogicOnly && channel.Line.Motion)
            || channel.Feedback.Any(feedback => feedback is SwitchFeedback { Point.AdapterPin: not null } && feedback.Point.Name == untested.TestPoint));

    private static string WorkingWords(Channel channel, ExerciseMode mode, ImmutableArray<PathPoint> path, ImmutableArray<Finding> findings)
    {
        var unwatched = path.Where(point => point.State == PointState.Unseen).Select(point => point.TestPoint).ToList();
        var stages = channel.Stages.Length == 1 ? "The only stage responds" : $"All {channel.Stages.Length} stages respond";
        if (unwatched.Count > 0)
            stages = $"The last stage responds, so all {channel.Stages.Length} pass the command; nothing watches {string.Join(", ", unwatched)}";
        if (mode == ExerciseMode.LogicOnly && channel.Line.Motion)
            return $"{stages}.{VoltagesRead(findings)}";
        var passedBy = string.Concat(findings.Where(finding => finding.Verdict == Verdict.NotTested).Select(finding => $" {finding.Words}"));
        if (mode == ExerciseMode.LogicOnly)
            return $"{stages}.{VoltagesRead(findings)}{passedBy}";
        if (findings.Any(finding => finding.Expected == Expectation.Pulses))
            return $"{stages}, and the motion answers.{passedBy}";
        return $"{stages}. The profile names nothing that counts its motion: whether it moved was not judged.{passedBy}";
    }

    /// <summary>Where the adapter could read a voltage in both states; elsewhere only its digital input has looked.</summary>
    private static string VoltagesRead(ImmutableArray<Finding> findings)
    {
        var read = findings.Where(finding => finding.Level is not null).GroupBy(finding => finding.TestPoint).Where(point => point.Count() > 1).Select(point => point.Key).ToList();
        return read.Count == 0 ? " No voltage was read." : $" Voltages are good at {string.Join(", ", read)}.";
    }

    private static bool IsFailing(PathPoint point) => point.State is not (PointState.Good or PointState.Unseen);

    /// <summary>
    /// A point that shows nothing, or the contrary, while a later one responds to the command is not where the command is lost; nor is one that floats,
    /// whatever it picks up.
    /// </summary>
    /// <param name="moves">True when pulses came: the motor, too, is behind every point.</param>
    private static bool IsOnlyItsLead(PathPoint point, ImmutableArray<PathPoint> path, bool moves) =>
        (point.State is PointState.StaysIdle or PointState.StaysActive or PointState.WrongWay || point.Lead == LeadState.Follows) && point.Stage >= 0
        && (moves || path.Any(later => later.Stage > point.Stage && later.Responds));

    private static bool IsBadFeedback(Finding finding) =>
        finding.Expected is Expectation.Pulses or Expectation.Settles
        && finding.IsWrong;

    private static Finding FirstBadFinding(ImmutableArray<Finding> findings, int stage) => findings.First(finding =>
        finding.Stage == stage && finding.IsWrong);

    private static Condition ConditionOf(Channel channel, PathPoint point) => point.State switch
    {
        PointState.Late => Condition.Slow,
        PointState.Early => Condition.Crossed,
        PointState.WrongWay => Condition.Inverted,
        PointState.Weak => Condition.Weak,
        PointState.Bouncing => Condition.Bouncing,
        PointState.StaysActive => StuckAt(channel, point, active: true),
        PointState.StaysIdle when !KeepsDriving(channel, point) => Condition.Dead,
        PointState.StaysIdle => StuckAt(channel, point, active: false),
        _ => throw new InvalidOperationException($"{point.State} is not a failure."),
    };

    /// <summary>
    /// A logic output drives in both states: one that never moves is stuck, unless its net is undriven. A transistor, alone or in an isolator, drives in one
    /// state only: one that stays off is dead.
    /// </summary>
    private static bool KeepsDriving(Channel channel, PathPoint point) =>
        point.Stage >= 0 && channel.Stages[point.Stage].Part is BufferPart && point.Lead != LeadState.Follows;

    private static Condition StuckAt(Channel channel, PathPoint point, bool active)
    {
        var line = active ? channel.Line.Active : channel.Line.Idle;
        var level = point.Stage < 0 ? line : channel.LevelAfter(point.Stage, line);
        return level == Quantities.Level.High ? Condition.StuckHigh : Condition.StuckLow;
    }

    private static string EndedEarly(CaptureEnding ending) => ending.Outcome == CaptureOutcome.StopInput
        ? $"Stop input {ending.StoppedBy} ended the exercise; all lines went idle. When the axis is at its end of travel, move it away and sweep again."
        : "The exercise was ended early (cancelled, or noise on the link); all lines went idle. Sweep again.";
}
