using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>
/// Finds transitions at points that the exercise does not concern; the command is their cause unless they began before it. Points that stayed quiet are not
/// listed.
/// </summary>
public static class QuietJudge
{
    public static IEnumerable<Finding> Judge(Board board, Exercise exercise, Capture capture, CommandEdges edges)
    {
        var channel = exercise.Channel;
        var concerned = channel.Stages.Select(stage => stage.OutputName)
            .Append(channel.DrivenAt.Name)
            .ToHashSet();
        if (exercise.Mode == ExerciseMode.Motion || !channel.Line.Motion)
        {
            concerned.UnionWith(channel.Feedback.Select(feedback => feedback.Point.Name));
            // The axis may reach a switch that belongs to its own lines.
            concerned.UnionWith(board.Stops.Where(stop => stop.Lines.Contains(channel.Line)).Select(stop => stop.Point.Name));
            concerned.UnionWith(board.Channels.Where(other => other.Name == channel.UndoneBy).SelectMany(other => other.Feedback).Select(feedback => feedback.Point.Name));
        }

        // In path order: where a channel's points move together, the first one is where it comes in.
        var inPathOrder = board.Channels.SelectMany(other => other.Stages.Select(stage => stage.OutputName).Prepend(other.DrivenAt.Name)).ToList();
        foreach (var signal in capture.Signals.OrderBy(signal => inPathOrder.IndexOf(signal.Name) is >= 0 and var place ? place : int.MaxValue))
        {
            if (concerned.Contains(signal.Name) || signal.Changes.IsEmpty || board.TestPoints.All(point => point.Name != signal.Name))
                continue;
            var owner = board.Channels.FirstOrDefault(other => other.Stages.Any(stage => stage.OutputName == signal.Name) || other.DrivenAt.Name == signal.Name);
            var times = FindingWords.Times(signal.Changes.Length);
            var byItself = signal.Changes[0].NotAfter <= edges.On.From;
            var words = byItself
                ? $"{signal.Name}{(owner is null ? "" : $" of channel {owner.Name}")} changed {times}, and began before anything was commanded."
                : owner is null
                ? $"{signal.Name} changed {times} though {channel.Name} has nothing to do with it."
                : $"{signal.Name} of channel {owner.Name} changed {times} while only {channel.Name} was commanded.";
            yield return new Finding(
                signal.Name, null, Expectation.Quiet, Verdict.Extra, null, byItself ? null : channel.DrivenAt.Name, byItself ? null : edges.On.From, signal.Changes[0].Estimate, null, null, null, null,
                signal.Changes.Length - 1, null, null, words);
        }
    }

    /// <summary>
    /// Feedback that changed although nothing should move: the motor supply is on, or something else moves the axis. A run in logic-only mode
    /// ends there. Null when all is quiet.
    /// </summary>
    public static Finding? Motion(Board board, ExerciseMode mode, IEnumerable<Finding> findings)
    {
        if (mode == ExerciseMode.Motion)
            return null;
        var moved = MotionPoints(board);
        return findings.FirstOrDefault(finding => finding.Expected == Expectation.Quiet && moved.Contains(finding.TestPoint));
    }

    /// <summary>Test points that change only when something moves: feedback and stop inputs.</summary>
    public static IReadOnlySet<string> MotionPoints(Board board) => board.Channels
        .Where(channel => channel.Line.Motion)
        .SelectMany(channel => channel.Feedback)
        .Select(feedback => feedback.Point.Name)
        .Concat(board.Stops.Select(stop => stop.Point.Name))
        .ToHashSet();
}
