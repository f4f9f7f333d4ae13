using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing.Reasoning;
using TestRig.Core.Judging;

namespace TestRig.Core.Diagnosing;

/// <summary>
/// Says what explains a sweep. It knows what was seen, the board, and a model of what faults do; it knows nothing of what is broken. Suspects that what was seen does not tell apart are one ambiguity
/// group.
/// </summary>
public static class Diagnoser
{
    /// <summary>Suspects with less belief than this are not worth a technician's time.</summary>
    private const double NotWorthSaying = 0.005;

    /// <summary>And within a group, items with less belief, compared with the first, are not named.</summary>
    private const double NotWorthNaming = 0.02;

    /// <param name="limits">The usual ones when left out.</param>
    public static Diagnosis Diagnose(Board board, ImmutableArray<ChannelResult> results, Outcomes seen, IBoardModel model, SearchLimits? limits = null)
    {
        var found = new Reasoner<BoardFault>(model, limits ?? SearchLimits.Usual).Explain(seen);
        var faulty = results.Where(result => result.IsFaulty).Select(result => result.Channel.Name).ToImmutableArray();
        var good = found.Ranked.Single(entry => entry.Explanation.Faults.IsEmpty).Explanation;
        // What was found wrong is no noise, so nothing at all is no explanation; nor is what explains none of it.
        var best = found.Ranked
            .Select(entry => entry.Explanation)
            .FirstOrDefault(explanation => explanation.IsBetterThan(good)) ?? good;
        var faults = best.Faults
            .Select(fault => FaultOf(board, found, best.Faults.Remove(fault), Touched(board, model, seen, fault, faulty)))
            .OrderByDescending(fault => fault.Channels.Length)
            .ToImmutableArray();
        var next = faults.IsEmpty ? null : Advisor.Next(board, faults[0].Suspects[0], model);
        return new(faults, next?.Words, [.. faulty.Except(faults.SelectMany(fault => fault.Channels))]) { InjectAt = next?.InjectAt, Misfits = best.Misfits };
    }

    /// <summary>The faulty channels of which the fault explains something: at their own points, or, where those show nothing unexpected, at others'.</summary>
    private static ImmutableArray<string> Touched(Board board, IBoardModel model, Outcomes seen, BoardFault fault, ImmutableArray<string> faulty)
    {
        var (good, broken) = (model.Predict([])[0], model.PredictClosely([fault]));
        var surprising = seen.All.Where(shown => !shown.Fits(good)).Select(shown => (Sight: model.SightOf(shown.Experiment), IsExplained: broken.Any(shown.Fits))).ToList();
        ImmutableArray<string> touched = [.. faulty.Where(name =>
        {
            var channel = board.Channels.First(known => known.Name == name);
            var here = surprising.FindAll(entry => entry.Sight.Channel == name);
            var own = here.FindAll(entry => channel.Owns(entry.Sight.Point));
            return (own.Count > 0 ? own : here).Exists(entry => entry.IsExplained);
        })];
        // What it does only together with another shows at channels of its own.
        return touched.IsEmpty ? [.. faulty.Where(name => fault.Channels.IsEmpty || fault.Channels.Contains(name))] : touched;
    }

    /// <param name="others">The other faults of the explanation, which stay as they are.</param>
    private static Fault FaultOf(Board board, SearchResult<BoardFault> found, ImmutableArray<BoardFault> others, ImmutableArray<string> channels)
    {
        var without = found.Ranked.Select(entry => entry.Explanation).FirstOrDefault(explanation => explanation.Faults.Length == others.Length && others.All(explanation.Faults.Contains));
        var candidates = found.Ranked
            .Where(entry => (without is null || entry.Explanation.IsBetterThan(without)) && entry.Explanation.Faults.Length == others.Length + 1 && others.All(entry.Explanation.Faults.Contains))
            .Select(entry => (Fault: entry.Explanation.Faults.Except(others).Single(), entry.Explanation, entry.Belief))
            .ToList();
        var sum = candidates.Sum(candidate => candidate.Belief);
        var suspects = ImmutableArray.CreateBuilder<Suspect>();
        while (candidates.Count > 0)
        {
            var first = candidates[0];
            var alike = candidates.FindAll(candidate => candidate.Explanation.IsAlike(first.Explanation));
            candidates.RemoveAll(candidate => candidate.Explanation.IsAlike(first.Explanation));
            var belief = alike.Sum(candidate => candidate.Belief);
            if (suspects.Count > 0 && belief / sum < NotWorthSaying)
                break;
            var items = alike.GroupBy(candidate => candidate.Fault.Item).Select(item => (Item: item.Key, Belief: item.Sum(candidate => candidate.Belief))).OrderByDescending(item => item.Belief).ToList();
            var named = items.Where(item => item.Belief >= items[0].Belief * NotWorthNaming).Select(item => item.Item);
            suspects.Add(new([.. named], first.Fault.Mode, first.Fault.Words, belief / sum, channels) { Faults = [.. alike.Select(candidate => candidate.Fault)] });
        }
        return new(channels, suspects.ToImmutable(), Advisor.Advise(board, suspects[0]));
    }
}
