using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>
/// Finds transitions at points that the exercise does not concern; the command is their cause unless they began before it. Points that stayed quiet are not
/// listed.
/// </summary>
public static class QuietJudge
{
    /// <summary>Sooner after its command no axis comes to a limit switch (common practice: contactors take 5 to 20 ms to pull in, and small solenoids some milliseconds).</summary>
    private static readonly Duration _nothingMovesBefore = Duration.FromMilliseconds(1);

    public static IEnumerable<Finding> Judge(Board board, Exercise exercise, Capture capture, CommandEdges edges)
    {
        var channel = exercise.Channel;
        var concerned = exercise.Companions.Add(channel).SelectMany(driven => ConcernedBy(board, exercise.Mode, driven)).ToHashSet();

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
                ? $"{signal.Name} changed {times} though {Listed(exercise)} has nothing to do with it."
                : $"{signal.Name} of channel {owner.Name} changed {times} while only {Listed(exercise)} was commanded.";
            yield return new Finding(
                signal.Name, null, Expectation.Quiet, Verdict.Extra, null, byItself ? null : channel.DrivenAt.Name, byItself ? null : edges.On.From, signal.Changes[0].Estimate, null, null, null, null,
                signal.Changes.Length - 1, null, null, words);
        }
        if (StoppedTooSoon(board, exercise, capture, edges) is { } tooSoon)
            yield return tooSoon;
    }

    /// <summary>The limit switch that ended the exercise when nothing could have moved yet: it answers the command itself. Null when there is none.</summary>
    private static Finding? StoppedTooSoon(Board board, Exercise exercise, Capture capture, CommandEdges edges)
    {
        var (channel, name) = (exercise.Channel, capture.Ending.StoppedBy);
        if (exercise.Mode != ExerciseMode.Motion || capture.Find(name ?? "") is not { } signal || !board.Stops.Any(stop => stop.Point.Name == name && stop.IsLimit && stop.Lines.Contains(channel.Line)))
            return null;
        var changed = signal.Changes.FirstOrDefault(change => change.NotAfter > edges.On.From);
        var after = changed.NotAfter - edges.On.From;
        return changed == default || after >= _nothingMovesBefore ? null : new Finding(
            signal.Name, null, Expectation.Quiet, Verdict.Extra, null, channel.DrivenAt.Name, edges.On.From, changed.Estimate, null, null, null, null, signal.Changes.Length - 1, null, null,
            $"{signal.Name} stopped {channel.Name} {after} after its command: sooner than anything moves, so it is no end of travel. It answers the command itself: are their nets joined?");
    }

    private static string Listed(Exercise exercise) => string.Join(" and ", exercise.Companions.Insert(0, exercise.Channel).Select(channel => channel.Name));

    /// <summary>Points that may change when a channel is exercised.</summary>
    private static IEnumerable<string> ConcernedBy(Board board, ExerciseMode mode, Channel channel)
    {
        var path = channel.Stages.Select(stage => stage.OutputName).Append(channel.DrivenAt.Name)
            .Concat(board.Socket is { } socket && socket.Channel.Name == channel.Name ? socket.Taps.Select(tap => tap.Name) : []);
        if (mode == ExerciseMode.LogicOnly && channel.Line.Motion)
            return path;
        return path
            .Concat(channel.Feedback.Select(feedback => feedback.Point.Name))
            // The axis may reach a switch that belongs to its own lines.
            .Concat(board.Stops.Where(stop => stop.Lines.Contains(channel.Line)).Select(stop => stop.Point.Name))
            .Concat(board.Channels.Where(other => other.Name == channel.UndoneBy).SelectMany(other => other.Feedback).Select(feedback => feedback.Point.Name));
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
