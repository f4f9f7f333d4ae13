using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>Finds transitions at points that the exercise does not concern. Points that stayed quiet are not listed.</summary>
public static class QuietJudge
{
    public static IEnumerable<Finding> Judge(Board board, Exercise exercise, Capture capture)
    {
        var channel = exercise.Channel;
        var concerned = channel.Stages.Select(stage => stage.OutputName)
            .Append(channel.DrivenAt.Name)
            .ToHashSet();
        if (exercise.Mode == ExerciseMode.Motion)
        {
            concerned.UnionWith(channel.Feedback.Select(feedback => feedback.Point.Name));
            // The axis may reach a switch that belongs to its own lines.
            concerned.UnionWith(board.Stops.Where(stop => stop.Lines.Contains(channel.Line)).Select(stop => stop.Point.Name));
            concerned.UnionWith(board.Channels.Where(other => other.Name == channel.UndoneBy).SelectMany(other => other.Feedback).Select(feedback => feedback.Point.Name));
        }

        foreach (var signal in capture.Signals)
        {
            if (concerned.Contains(signal.Name) || signal.Changes.IsEmpty || board.TestPoints.All(point => point.Name != signal.Name))
                continue;
            var owner = board.Channels.FirstOrDefault(other => other.Stages.Any(stage => stage.OutputName == signal.Name) || other.DrivenAt.Name == signal.Name);
            var words = owner is null
                ? $"{signal.Name} changed ({signal.Changes.Length} transitions) though {channel.Name} has nothing to do with it."
                : $"{signal.Name} of channel {owner.Name} changed ({signal.Changes.Length} transitions) while only {channel.Name} was commanded.";
            yield return new Finding(
                signal.Name, null, Expectation.Quiet, Verdict.Extra, null, null, null, signal.Changes[0].Estimate, null, null, null, null,
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
        var feedback = board.Channels.SelectMany(channel => channel.Feedback).Select(item => item.Point.Name)
            .Concat(board.Stops.Select(stop => stop.Point.Name))
            .ToHashSet();
        return findings.FirstOrDefault(finding => finding.Expected == Expectation.Quiet && feedback.Contains(finding.TestPoint));
    }
}
