using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>Judges the stages of one channel in path order. A stage's delay is counted from the nearest point in front of it that responded.</summary>
internal sealed class PathJudge(Exercise exercise, Capture capture, CommandEdges edges)
{
    private readonly Channel _channel = exercise.Channel;

    /// <summary>For each edge (on, off): the points that responded so far, by stage; −1 is the drive point.</summary>
    private readonly ImmutableArray<List<(int Stage, string Name, Change Change)>> _responded =
        [.. edges.All.Select(edge => edge.Change is { } change
            ? new List<(int, string, Change)> { (-1, exercise.Channel.DrivenAt.Name, change) }
            : [])];

    /// <summary>Changes of which more is known than their looks tell, since they answer a command: by signal, as captured.</summary>
    private readonly Dictionary<(string Signal, Change Captured), Change> _narrowed = [];

    /// <summary>The capture with all that is known of when its changes were made.</summary>
    public Capture KnownCapture => capture with
    {
        Signals = [.. capture.Signals.Select(signal => signal with
        {
            Changes = [.. signal.Changes.Select(change => Known(signal.Name, change))],
        })],
    };

    private Change Known(string signal, Change captured) => signal == _channel.DrivenAt.Name
        ? edges.All.Select(edge => edge.Change).FirstOrDefault(known => known?.NotAfter == captured.NotAfter) ?? captured
        : _narrowed.GetValueOrDefault((signal, captured), captured);

    public (ImmutableArray<Finding> Findings, PointState State) JudgeStage(int stage, Signal signal, LeadState lead)
    {
        var findings = ImmutableArray.CreateBuilder<Finding>();
        var verdicts = new Verdict[2];
        for (var i = 0; i < 2; i++)
        {
            var finding = JudgeTransition(stage, signal, i);
            verdicts[i] = finding.Verdict;
            findings.Add(i == 0 ? finding : finding with { Pulse = PulseOf(stage) });
        }

        if (RestlessBefore(stage, signal) is { } restless)
        {
            verdicts[0] = restless.Verdict;
            findings.Insert(0, restless);
        }

        var levels = JudgeLevels(stage, signal.Name).ToImmutableArray();
        findings.AddRange(levels);
        findings.AddRange(LevelsNotRead(stage, signal.Name));
        return (findings.ToImmutable(), StateOf(stage, signal, verdicts, levels, lead));
    }

    /// <summary>How long a stage's output was active, when it answered both edges of the command.</summary>
    private MeasuredDelay? PulseOf(int stage)
    {
        Change? AnswerTo(int edge) => _responded[edge].Where(answer => answer.Stage == stage).Select(answer => (Change?)answer.Change).LastOrDefault();
        return AnswerTo(0) is { } begins && AnswerTo(1) is { } ends ? MeasuredDelay.Between(begins, ends, capture.ClockTolerance) : null;
    }

    private Finding JudgeTransition(int stage, Signal signal, int edgeIndex)
    {
        var edge = edges.All[edgeIndex];
        var expected = _channel.LevelAfter(stage, edge.LineLevel);
        var arrival = Arrival.Of(signal, edge.From, edge.To);
        var responded = _responded[edgeIndex];
        var (causeStage, causeName, cause) = responded.Count > 0 ? responded[^1] : (-1, _channel.DrivenAt.Name, default(Change?));
        var range = RangeBetween(causeStage, stage, edge.LineLevel);
        var dueUntil = Instant.Min(edge.To, (cause?.NotAfter ?? edge.From) + range.Latest);
        var verdict = TransitionJudge.Logic(arrival, expected, capture.Gaps, edge.From, dueUntil, edge.To, _channel.Stages[stage].Bounce);

        Timing? timing = null;
        MeasuredDelay? delay = null;
        // What answers a command did not come before it: the looks around a step of the command are wide, and this narrows them.
        var observed = cause is { } causing ? arrival.First?.NotBefore(causing.After) : arrival.First;
        if (verdict is Verdict.Conforms or Verdict.Bouncing && observed is { } answer)
        {
            if (cause is { } from)
            {
                delay = MeasuredDelay.Between(from, answer, capture.ClockTolerance);
                timing = TransitionJudge.Within(delay, range.Earliest, range.Latest);
                if (verdict == Verdict.Conforms && timing == Timing.Violates)
                    verdict = delay.Value > range.Latest ? Verdict.Late : Verdict.Early;
            }
            responded.Add((stage, signal.Name, answer));
            _narrowed[(signal.Name, arrival.Changes[0])] = answer;
        }

        return new(
            signal.Name, stage, expected == Level.High ? Expectation.Rises : Expectation.Falls, verdict, timing, causeName, cause?.Estimate,
            observed?.Estimate, delay?.Value, range.Earliest, range.Latest, delay?.StandardUncertainty, arrival.Bounces, null, null,
            FindingWords.Transition(signal.Name, expected, verdict, timing, causeName, range, delay, arrival, Blindness(edge))
                + (verdict is Verdict.Conforms or Verdict.Bouncing or Verdict.Late or Verdict.Early ? FindingWords.Bounces(arrival, _channel.Stages[stage].Bounce) : ""))
        {
            Measured = delay,
            SettleTime = arrival.First is null ? null : arrival.SettleTime,
        };
    }

    /// <summary>What nobody planned and the adapter's memory has no part in; null where there is nothing of the kind.</summary>
    private GapReason? Blindness(CommandEdge edge) =>
        capture.Gaps.FirstOrDefault(gap => gap.Reason is GapReason.HostLate or GapReason.NotRecorded && gap.Overlaps(edge.From, edge.To))?.Reason;

    /// <summary>What a point did before anything was commanded; null when it was quiet.</summary>
    private Finding? RestlessBefore(int stage, Signal signal)
    {
        var restless = signal.Changes.Count(change => change.NotAfter <= edges.On.From);
        return restless == 0 ? null : new Finding(
            signal.Name, stage, Expectation.Quiet, Verdict.Extra, null, null, null, signal.Changes[0].Estimate, null, null, null, null, restless - 1, null,
            null, FindingWords.Restless(signal.Name, restless));
    }

    private DelayRange RangeBetween(int causeStage, int stage, Level line)
    {
        DelayRange? sum = null;
        for (var i = causeStage + 1; i <= stage; i++)
        {
            var range = _channel.Stages[i].DelayTo(_channel.LevelAfter(i, line));
            sum = sum is null ? range : sum + range;
        }
        return sum ?? throw new InvalidOperationException("A cause must lie in front of its effect.");
    }

    private IEnumerable<Finding> JudgeLevels(int stage, string name)
    {
        foreach (var reading in capture.Levels.Where(level => level.Signal == name))
        {
            // Only readings taken while a state is settled are levels; the schedule takes one in each state.
            var edge = reading.At >= edges.Off.From ? edges.Off : edges.On;
            if (reading.At < edges.On.From)
                continue;
            var expected = _channel.LevelAfter(stage, edge.LineLevel);
            if (capture.Gaps.Any(gap => gap.Reason == GapReason.HostLate && gap.Overlaps(edge.From, reading.At)))
            {
                // A reading that was due while the computer was late comes as soon as it can, and no time to settle lies in front of it.
                yield return new Finding(
                    name, stage, expected == Level.High ? Expectation.HighLevel : Expectation.LowLevel, Verdict.NotResolved, null, null, null, reading.At,
                    null, null, null, null, 0, null, reading.Mean, FindingWords.LevelReadLate(name, reading))
                { Reading = reading };
                continue;
            }
            var verdict = LevelJudge.Judge(reading, expected, _channel.Stages[stage].Levels);
            yield return new Finding(
                name, stage, expected == Level.High ? Expectation.HighLevel : Expectation.LowLevel, verdict, null, null, null, reading.At,
                null, null, null, null, 0, null, reading.Mean,
                FindingWords.LevelReading(name, expected, verdict, reading, _channel.Stages[stage].Levels))
            { Reading = reading };
        }
    }

    /// <summary>Readings that the exercise planned and that did not come: a level that was not read is no good level.</summary>
    private IEnumerable<Finding> LevelsNotRead(int stage, string name)
    {
        foreach (var edge in edges.All)
        {
            var planned = exercise.Readings.Count(reading => reading.TestPoint == name && (reading.At >= exercise.OffAt ? edges.Off : edges.On) == edge);
            var read = capture.Levels.Count(level => level.Signal == name && level.At >= edge.From && (edge == edges.Off || level.At < edges.Off.From));
            if (read >= planned)
                continue;
            var expected = _channel.LevelAfter(stage, edge.LineLevel);
            yield return new Finding(
                name, stage, expected == Level.High ? Expectation.HighLevel : Expectation.LowLevel, Verdict.NotTested, null, null, null, null,
                null, null, null, null, 0, null, null, FindingWords.LevelNotRead(name, expected));
        }
    }

    private PointState StateOf(int stage, Signal signal, Verdict[] verdicts, ImmutableArray<Finding> levels, LeadState lead)
    {
        // A silent pin that follows the lead check floats: its voltage is nobody's.
        var floats = lead == LeadState.Follows && verdicts.Contains(Verdict.Absent);
        if (!floats && levels.Any(level => level.Verdict == Verdict.Weak))
            return PointState.Weak;
        // What was seen to be restless is so, whatever was missed later.
        if (verdicts.Contains(Verdict.NotResolved))
            return verdicts.Any(verdict => verdict is Verdict.Bouncing or Verdict.Extra) ? PointState.Bouncing : PointState.Unseen;
        if (verdicts.All(verdict => verdict == Verdict.WrongWay))
            return PointState.WrongWay;
        if (verdicts.Contains(Verdict.Absent))
        {
            // What it keeps at the end of the half in which nothing came: the level of "commanded", or the other.
            var half = Array.IndexOf(verdicts, Verdict.Absent);
            var kept = signal.LevelAt(edges.All[half].To);
            return kept == _channel.LevelAfter(stage, _channel.Line.Active) ? PointState.StaysActive : PointState.StaysIdle;
        }
        if (verdicts.Any(verdict => verdict is Verdict.Bouncing or Verdict.Extra or Verdict.WrongWay))
            return PointState.Bouncing;
        if (verdicts.Contains(Verdict.Late))
            return PointState.Late;
        if (verdicts.Contains(Verdict.Early))
            return PointState.Early;
        // It switched as it should and does not hold what it switched to.
        return levels.Any(level => level.Verdict == Verdict.WrongWay) ? PointState.Weak : PointState.Good;
    }
}
