using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Judging;

/// <summary>Judges the stages of one channel in path order. A stage's delay is counted from the nearest point in front of it that responded.</summary>
internal sealed class PathJudge(Channel channel, Capture capture, CommandEdges edges)
{
    /// <summary>For each edge (on, off): the points that responded so far, by stage; −1 is the drive point.</summary>
    private readonly ImmutableArray<List<(int Stage, string Name, Change Change)>> _responded =
        [.. edges.All.Select(edge => edge.Change is { } change
            ? new List<(int, string, Change)> { (-1, channel.DrivenAt.Name, change) }
            : [])];

    public (ImmutableArray<Finding> Findings, PointState State) JudgeStage(int stage, Signal signal)
    {
        var findings = ImmutableArray.CreateBuilder<Finding>();
        var verdicts = new Verdict[2];
        for (var i = 0; i < 2; i++)
        {
            var finding = JudgeTransition(stage, signal, i);
            verdicts[i] = finding.Verdict;
            findings.Add(finding);
        }

        var levels = JudgeLevels(stage, signal.Name).ToImmutableArray();
        findings.AddRange(levels);
        return (findings.ToImmutable(), StateOf(stage, signal, verdicts, levels));
    }

    private Finding JudgeTransition(int stage, Signal signal, int edgeIndex)
    {
        var edge = edges.All[edgeIndex];
        var expected = channel.LevelAfter(stage, edge.LineLevel);
        var arrival = Arrival.Of(signal, edge.From, edge.To);
        var responded = _responded[edgeIndex];
        var (causeStage, causeName, cause) = responded.Count > 0 ? responded[^1] : (-1, channel.DrivenAt.Name, default(Change?));
        var range = RangeBetween(causeStage, stage, edge.LineLevel);
        var dueUntil = Instant.Min(edge.To, (cause?.NotAfter ?? edge.From) + range.Latest);
        var verdict = TransitionJudge.Logic(arrival, expected, capture.Gaps, edge.From, dueUntil, edge.To);

        Timing? timing = null;
        MeasuredDelay? delay = null;
        if (verdict is Verdict.Conforms or Verdict.Bouncing && arrival.First is { } first)
        {
            if (cause is { } from)
            {
                delay = MeasuredDelay.Between(from, first, capture.ClockTolerance);
                timing = TransitionJudge.Within(delay, range.Earliest, range.Latest);
                if (verdict == Verdict.Conforms && timing == Timing.Violates)
                    verdict = delay.Value > range.Latest ? Verdict.Late : Verdict.Early;
            }
            responded.Add((stage, signal.Name, first));
        }

        return new(
            signal.Name, stage, expected == Level.High ? Expectation.Rises : Expectation.Falls, verdict, timing, causeName, cause?.Estimate,
            arrival.First?.Estimate, delay?.Value, range.Earliest, range.Latest, delay?.StandardUncertainty, arrival.Bounces, null, null,
            FindingWords.Transition(signal.Name, expected, verdict, timing, causeName, range, delay, arrival));
    }

    private DelayRange RangeBetween(int causeStage, int stage, Level line)
    {
        DelayRange? sum = null;
        for (var i = causeStage + 1; i <= stage; i++)
        {
            var range = channel.Stages[i].DelayTo(channel.LevelAfter(i, line));
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
            var expected = channel.LevelAfter(stage, edge.LineLevel);
            var verdict = LevelJudge.Judge(reading, expected, channel.Stages[stage].Levels);
            yield return new Finding(
                name, stage, expected == Level.High ? Expectation.HighLevel : Expectation.LowLevel, verdict, null, null, null, reading.At,
                null, null, null, null, 0, null, reading.Mean,
                FindingWords.LevelReading(name, expected, verdict, reading, channel.Stages[stage].Levels));
        }
    }

    private PointState StateOf(int stage, Signal signal, Verdict[] verdicts, ImmutableArray<Finding> levels)
    {
        if (levels.Any(level => level.Verdict == Verdict.Weak))
            return PointState.Weak;
        if (verdicts.Contains(Verdict.NotResolved))
            return PointState.Unseen;
        if (verdicts.All(verdict => verdict == Verdict.WrongWay))
            return PointState.WrongWay;
        if (verdicts.Contains(Verdict.Absent))
        {
            // What it keeps at the end of the half in which nothing came: the level of "commanded", or the other.
            var half = Array.IndexOf(verdicts, Verdict.Absent);
            var kept = signal.LevelAt(edges.All[half].To);
            return kept == channel.LevelAfter(stage, channel.Line.Active) ? PointState.StaysActive : PointState.StaysIdle;
        }
        if (verdicts.Any(verdict => verdict is Verdict.Bouncing or Verdict.Extra or Verdict.WrongWay))
            return PointState.Bouncing;
        if (verdicts.Contains(Verdict.Late))
            return PointState.Late;
        return verdicts.Contains(Verdict.Early) ? PointState.Early : PointState.Good;
    }
}
