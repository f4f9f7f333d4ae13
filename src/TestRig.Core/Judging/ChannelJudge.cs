using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>Judges one channel from one exercise: every point of its path, its feedback, and everything that should have stayed quiet.</summary>
public static class ChannelJudge
{
    /// <remarks>
    /// An exercise that ran more than once is judged as often, each time with what all saw, on the axis of one. When not all agree, that is what is found: what
    /// fails now and then is a fault, and a delay that violates its limits in one does so, whatever the others found. Of a channel that passes, each delay is the one
    /// that was measured best.
    /// </remarks>
    public static ChannelResult Judge(Board board, ExerciseRecord record)
    {
        var channel = record.Exercise.Channel;
        ImmutableArray<ChannelResult> results =
        [
            .. Enumerable.Range(0, record.Captures.Length)
                .Select(run => Judge(board, record.Exercise, JoinedCapture.Onto(run, record.Exercise, record.Captures), record.Leads) with { Exercises = record.Captures.Length, Record = record }),
        ];
        var faulty = results.Where(result => result.IsFaulty).ToList();
        if (faulty.Count == 0)
            return results.FirstOrDefault(result => result.Condition == Condition.NotTested) ?? BestTimed(results);
        var working = results.Count(result => result.Condition == Condition.Working);
        // A delay or a level near its limit can be told in one exercise and not in the other: that is no coming and going.
        return working == 0 || faulty[0].Condition is Condition.Slow or Condition.Weak
            ? faulty[0]
            : faulty[0] with { Condition = Condition.Intermittent, Summary = $"{faulty[0].Summary} It did so in {faulty.Count} of {results.Length} exercises, and worked in {working}." };
    }

    /// <summary>
    /// The first of them with the best resolved delays of all. Its instants stay those of its own capture: each exercise has its own time axis.
    /// </summary>
    private static ChannelResult BestTimed(ImmutableArray<ChannelResult> results)
    {
        return results[0] with { Findings = [.. results[0].Findings.Select(Best)] };

        Finding Best(Finding finding)
        {
            if (!IsOneTimedChange(finding))
                return finding;
            var best = results.SelectMany(result => result.Findings)
                .Where(other => IsOneTimedChange(other)
                    && (other.TestPoint, other.Stage, other.Expected, other.Cause) == (finding.TestPoint, finding.Stage, finding.Expected, finding.Cause))
                .MinBy(other => other.StandardUncertainty)!; // itself is one of them
            return finding with { Timing = best.Timing, Delay = best.Delay, StandardUncertainty = best.StandardUncertainty, Measured = best.Measured, Words = best.Words };
        }

        // How often a contact bounces differs from time to time, and the words tell it of one time only.
        static bool IsOneTimedChange(Finding finding) => finding is { Timing: not null, Verdict: Verdict.Conforms, Bounces: 0 };
    }

    private static ChannelResult Judge(Board board, Exercise exercise, Capture capture, ImmutableDictionary<string, LeadState> leads)
    {
        var channel = exercise.Channel;
        var edges = CommandEdges.Find(exercise, capture);
        var drive = capture.Find(channel.DrivenAt.Name)!;
        var findings = ImmutableArray.CreateBuilder<Finding>();
        var points = ImmutableArray.CreateBuilder<PathPoint>();
        findings.AddRange(JudgeDrive(channel, drive, edges, capture));
        points.Add(new(-1, channel.DrivenAt.Name, DriveState(channel, drive, edges, capture), leads.GetValueOrDefault(channel.DrivenAt.Name)));

        var path = new PathJudge(exercise, capture, edges);
        for (var stage = 0; stage < channel.Stages.Length; stage++)
        {
            var output = channel.Stages[stage].Output;
            if (output is null || capture.Find(output.Name) is not { } signal)
            {
                points.Add(new(stage, channel.Stages[stage].OutputName, PointState.Unseen, LeadState.Unknown));
                continue;
            }
            var lead = leads.GetValueOrDefault(output.Name);
            var judged = path.JudgeStage(stage, signal, lead);
            findings.AddRange(judged.Findings);
            points.Add(new(stage, output.Name, judged.State, lead));
        }

        if (exercise.Mode == ExerciseMode.Motion || !channel.Line.Motion)
            findings.AddRange(FeedbackJudge.Judge(channel, capture, edges));
        else
            findings.AddRange(channel.Feedback.Select(NotApplicable));
        findings.AddRange(QuietJudge.Judge(board, exercise, capture, edges));

        var all = findings.ToImmutable();
        var pathPoints = points.ToImmutable();
        var summary = ConditionRules.Summarise(channel, exercise.Mode, pathPoints, all, capture.Ending);
        return new(channel, summary.Condition, all, summary.FirstFailure, pathPoints, path.KnownCapture, summary.Words)
        {
            Mode = exercise.Mode,
            // What companions do at their own points tells nothing of this channel.
            Traces = [.. capture.Signals.Where(signal => !exercise.Companions.Any(companion => companion.Owns(signal.Name))).Select(signal => PointTrace.Of(signal, edges))],
        };
    }

    private static PointState DriveState(Channel channel, Signal drive, CommandEdges edges, Capture capture) =>
        drive.Changes.Length > edges.All.Length ? PointState.Bouncing
        : edges.Complete ? PointState.Good
        : edges.All.Any(edge => edge.Change is null && WasBlind(capture, edge)) ? PointState.Unseen
        : drive.Final == channel.Line.Active ? PointState.StaysActive : PointState.StaysIdle;

    private static IEnumerable<Finding> JudgeDrive(Channel channel, Signal drive, CommandEdges edges, Capture capture)
    {
        if (drive.Changes.Length > edges.All.Length)
        {
            yield return new Finding(
                channel.DrivenAt.Name, -1, channel.Line.Active == Level.High ? Expectation.Rises : Expectation.Falls, Verdict.Bouncing, null, null, null,
                edges.On.Change?.Estimate, null, null, null, null, drive.Changes.Length - edges.All.Length, null, null,
                $"{channel.DrivenAt.Name} changed {drive.Changes.Length} times for one command: something else drives the line, or the adapter's ground lead is bad.");
        }
        foreach (var edge in edges.All)
        {
            var level = edge.LineLevel;
            var missed = edge.Change is null && WasBlind(capture, edge);
            var words = missed
                ? capture.Gaps.Any(gap => gap.Reason == GapReason.HostLate)
                ? $"{channel.DrivenAt.Name}: the computer was late with a look before the command was over. Close other programs, then sweep again."
                : capture.Gaps.Any(gap => gap.Reason == GapReason.NotRecorded)
                ? $"{channel.DrivenAt.Name}: the recording does not tell its level all the time until the command was over."
                : $"{channel.DrivenAt.Name}: the adapter's memory for changes was full before the command was over."
                : edge.Change is null
                ? $"The adapter's own pin for {channel.DrivenAt.Name} did not go {level.Word()}: something holds the line, or the pin is damaged."
                : $"{channel.DrivenAt.Name} {level.ArrivalWord()} as commanded.";
            yield return new Finding(
                channel.DrivenAt.Name, -1, level == Level.High ? Expectation.Rises : Expectation.Falls,
                missed ? Verdict.NotResolved : edge.Change is null ? Verdict.Absent : Verdict.Conforms, null, null, null, edge.Change?.Estimate, null, null, null, null, 0, null, null, words)
            {
                Pulse = edge == edges.Off && edges is { On.Change: { } begins, Off.Change: { } ends } ? MeasuredDelay.Between(begins, ends, capture.ClockTolerance) : null,
            };
        }
    }

    /// <summary>True when the adapter stopped looking, or stored no more of what it saw, while this edge was awaited.</summary>
    private static bool WasBlind(Capture capture, CommandEdge edge) =>
        capture.Gaps.Any(gap => gap.IsUnplanned && gap.Overlaps(edge.From, edge.To));

    private static Finding NotApplicable(Feedback feedback) => new(
        feedback.Point.Name, null, feedback is PulseFeedback ? Expectation.Pulses : Expectation.Settles, Verdict.NotTested,
        null, null, null, null, null, null, null, null, 0, null, null,
        $"{feedback.Point.Name}: not applicable in logic-only mode, nothing moves.");
}
