using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Judging;

namespace TestRig.Core.Diagnosing;

/// <summary>
/// Explains the path findings of a sweep. Each hypothesis predicts a state for every point; Bayes' rule weighs prediction against observation. Faults are
/// taken one at a time: the best single explanation first, then the best one for the channels that it leaves unexplained.
/// </summary>
public static class Diagnoser
{
    /// <summary>Probability that a point is judged otherwise than its hypothesis predicts: noise, and what the model leaves out.</summary>
    private const double Misjudged = 0.01;

    /// <summary>Explanations with less belief than this are not worth a technician's time.</summary>
    private const double NotWorthSaying = 0.005;

    public static Diagnosis Diagnose(Board board, ImmutableArray<ChannelResult> results)
    {
        var judged = results.Where(result => !result.Path.IsEmpty && result.Condition != Condition.NotTested).ToList();
        var unexplained = judged.Where(HasPathFailure).ToList();
        var failing = unexplained.ToImmutableArray();
        var sound = judged.Where(result => !HasPathFailure(result)).ToList();
        // What is not seen rightly tells nothing of the board.
        if (MultiplexerDiagnosis.Find(board, judged) is { } multiplexer)
            return new([BesideOneCauseOnTheBoard(board, multiplexer, failing, sound)], null, []);

        var hypotheses = HypothesisSpace.Of(board).ToList();
        var faults = ImmutableArray.CreateBuilder<Fault>();
        while (unexplained.Count > 0)
        {
            // Only hypotheses that get at least one whole failing channel right compete; what else fails may have its own cause.
            var scored = hypotheses
                .Select(hypothesis => (Hypothesis: hypothesis, Explained: unexplained.Where(result => Explains(hypothesis, result)).ToImmutableArray()))
                .Where(entry => !entry.Explained.IsEmpty)
                .Select(entry => (entry.Hypothesis, entry.Explained, Weight: Weight(entry.Hypothesis, entry.Explained, Witnesses(sound, failing, entry.Explained))))
                .OrderByDescending(entry => entry.Explained.Length)
                .ThenByDescending(entry => entry.Weight)
                .ToList();
            if (scored.Count == 0)
                break;

            var best = scored.OrderByDescending(entry => Total(entry.Weight, entry.Explained.Length, unexplained.Count)).First();
            var rivals = scored.Where(entry => entry.Explained.Intersect(best.Explained).Any()).ToList();
            var suspects = Group(rivals, best.Explained, Witnesses(sound, failing, best.Explained));
            faults.Add(new([.. best.Explained.Select(result => result.Channel.Name)], suspects, Advisor.Advise(board, suspects[0])));
            unexplained = unexplained.Except(best.Explained).ToList();
        }

        foreach (var result in unexplained.ToList())
        {
            if (TwoFaults(hypotheses, result) is { } two)
            {
                faults.Add(two);
                unexplained.Remove(result);
            }
        }

        var crossed = sound.Where(result => result.Condition == Condition.Crossed).ToList();
        var bridges = CrossingDiagnosis.Faults(crossed);
        return new(
            [.. faults, .. bridges, .. FeedbackDiagnosis.Faults([.. sound.Except(crossed)])],
            faults.Count > 0 ? Advisor.NextProbe(board, faults[0].Suspects[0]) : null,
            [.. unexplained.Concat(crossed).Select(result => result.Channel.Name).Except(bridges.SelectMany(bridge => bridge.Channels))]);
    }

    /// <summary>
    /// Where one fault of the board, such as a package without supply, would show just the same, nothing observed tells it from the multiplexer's: each gets half
    /// of the belief. The multiplexer stays first, since it is looked at without touching the board.
    /// </summary>
    private static Fault BesideOneCauseOnTheBoard(Board board, Fault multiplexer, ImmutableArray<ChannelResult> failing, List<ChannelResult> sound)
    {
        var rivals = HypothesisSpace.Of(board)
            .Where(hypothesis => failing.Length == multiplexer.Channels.Length && failing.Concat(sound).All(result => Explains(hypothesis, result)))
            .Select(hypothesis => (hypothesis, failing, Weight(hypothesis, failing, sound)))
            .ToList();
        return rivals.Count == 0 ? multiplexer : multiplexer with
        {
            Suspects = [.. multiplexer.Suspects.Concat(Group(rivals, failing, sound)).Select(suspect => suspect with { Belief = suspect.Belief / 2 })],
        };
    }

    /// <summary>
    /// What speaks for or against an explanation besides the channels that it explains: the sound ones, and of the others that fail all that is good in front
    /// of their own fault.
    /// </summary>
    private static List<ChannelResult> Witnesses(List<ChannelResult> sound, ImmutableArray<ChannelResult> failing, ImmutableArray<ChannelResult> explained) =>
    [
        .. sound,
        .. failing.Except(explained).Select(result => result with
        {
            Path = [.. result.Path.TakeWhile(point => point.State is PointState.Good or PointState.Unseen)],
        }),
    ];

    /// <summary>The best explanation of one channel by two faults of its own; null when there is none.</summary>
    private static Fault? TwoFaults(List<Hypothesis> hypotheses, ChannelResult result)
    {
        var concerned = hypotheses
            .Where(hypothesis => result.Path.Any(point => point.State is not (PointState.Good or PointState.Unseen) && hypothesis.Predict(result.Channel, point.Stage).Contains(point.State)))
            .ToList();
        ImmutableArray<ChannelResult> alone = [result];
        var rivals = HypothesisSpace.Pairs(concerned)
            .Where(pair => Explains(pair, result))
            .Select(pair => (pair, alone, Weight(pair, alone, [])))
            .ToList();
        if (rivals.Count == 0)
            return null;
        var suspects = Group(rivals, alone, []);
        return suspects.IsEmpty ? null : new([result.Channel.Name], suspects, "Two faults at once: begin with the leads, then with what stands first in the path; put one right and sweep again.");
    }

    private static bool HasPathFailure(ChannelResult result) =>
        result.Path.Any(point => point.State is not (PointState.Good or PointState.Unseen));

    /// <summary>
    /// The points of the path and, where the command is lost on it, the motion behind the last one: pulses say that the command arrived, whatever a lead shows.
    /// </summary>
    private static IEnumerable<PathPoint> Observed(ChannelResult result)
    {
        var isLost = HasPathFailure(result)
            && result.Path.All(point => point.State is PointState.Good or PointState.Unseen or PointState.StaysIdle or PointState.StaysActive);
        return isLost && result.Findings.FirstOrDefault(finding => finding.Pulses is not null) is { } motion
            ? result.Path.Append(new(result.Channel.Stages.Length, motion.TestPoint, motion.Pulses > 0 ? PointState.Good : PointState.StaysIdle, LeadState.Unknown))
            : result.Path;
    }

    private static bool Explains(Hypothesis hypothesis, ChannelResult result) =>
        Observed(result).All(point => point.State == PointState.Unseen || hypothesis.Predict(result.Channel, point.Stage).Contains(point.State));

    private static double Weight(Hypothesis hypothesis, ImmutableArray<ChannelResult> explained, List<ChannelResult> witnesses)
    {
        var weight = hypothesis.Prior;
        foreach (var result in explained.Concat(witnesses))
        {
            foreach (var point in Observed(result))
                weight *= Likelihood(hypothesis, result.Channel, point);
        }
        return weight;
    }

    private static double Likelihood(Hypothesis hypothesis, Channel channel, PathPoint point)
    {
        if (point.State == PointState.Unseen)
            return 1;
        var predicted = hypothesis.Predict(channel, point.Stage);
        var state = predicted.Contains(point.State) ? (1 - Misjudged) / predicted.Count : Misjudged;
        return state * hypothesis.LeadLikelihood(channel, point.Stage, point.Lead);
    }

    /// <summary>
    /// Every channel left over needs a fault of its own, each about this improbable: so one shared cause wins over coincidences.
    /// </summary>
    private static double Total(double weight, int explained, int failing) => weight * Math.Pow(1e-3, failing - explained);

    private static ImmutableArray<Suspect> Group(
        List<(Hypothesis Hypothesis, ImmutableArray<ChannelResult> Explained, double Weight)> rivals,
        ImmutableArray<ChannelResult> failing,
        List<ChannelResult> sound)
    {
        var weighed = rivals
            .Select(entry => (entry.Hypothesis, entry.Explained, Weight: Total(Weight(entry.Hypothesis, [.. entry.Explained.Intersect(failing)], sound), entry.Explained.Intersect(failing).Count(), failing.Length)))
            .ToList();
        var sum = weighed.Sum(entry => entry.Weight);
        return
        [
            .. weighed
                // What predicts the same everywhere it was looked at cannot be told apart by anything observed.
                .GroupBy(entry => Signature(entry.Hypothesis, failing, sound))
                .Select(group => group.OrderByDescending(entry => entry.Weight).ToList())
                .Select(group => new Suspect(
                    [.. group.Select(entry => entry.Hypothesis.Item).Distinct()],
                    group[0].Hypothesis.Mode,
                    group[0].Hypothesis.Words,
                    group.Sum(entry => entry.Weight) / sum,
                    [.. group[0].Explained.Select(result => result.Channel.Name)]))
                // The same said of the same items is one suspect, whatever it leaves open.
                .GroupBy(suspect => (Items: string.Join('|', suspect.Group), suspect.Words))
                .Select(same => same.OrderByDescending(suspect => suspect.Belief).First() with { Belief = same.Sum(suspect => suspect.Belief) })
                .Where(suspect => suspect.Belief >= NotWorthSaying)
                .OrderByDescending(suspect => suspect.Belief),
        ];
    }

    /// <summary>Everything that a hypothesis says of what was looked at: states, and how well the lead check fits.</summary>
    private static string Signature(Hypothesis hypothesis, ImmutableArray<ChannelResult> failing, List<ChannelResult> sound) => string.Join(
        ';',
        failing.Concat(sound).SelectMany(result => Observed(result)
            .Where(point => point.State != PointState.Unseen)
            .Select(point => $"{hypothesis.Predict(result.Channel, point.Stage).Bits}/{hypothesis.LeadLikelihood(result.Channel, point.Stage, point.Lead)}")));
}
