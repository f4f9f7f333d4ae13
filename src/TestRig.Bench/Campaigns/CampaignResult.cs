using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>What a campaign found, in the terms of MIL-STD-2165 (testability): fractions of faults detected and isolated, and false alarms.</summary>
/// <param name="NotTried">Faults that the simulated bench does not have.</param>
/// <param name="Classes">The bound: which faults no sweep tells apart.</param>
/// <param name="Trials">One for each fault that was tried, in the board's order.</param>
/// <param name="Suggestions">The best first; null where they were not asked for.</param>
public sealed record CampaignResult(
    Board Board,
    CampaignOptions Options,
    ImmutableArray<BoardFault> NotTried,
    ImmutableArray<FaultClass> Classes,
    ImmutableArray<FaultTrial> Trials,
    HealthyTally Healthy,
    ImmutableArray<PairTrial> Pairs,
    ImmutableArray<Suggestion>? Suggestions)
{
    /// <summary>What is demanded: all that can be detected, and of what can be isolated or lies within two groups these shares.</summary>
    private const double GroupsAsShown = 0.99, PairsWithinTwo = 0.95;

    /// <summary>The trials of faults that a sweep can show.</summary>
    public ImmutableArray<FaultTrial> Detectable => [.. Trials.Where(trial => trial.Bound.Detectable)];

    public int Detected => Detectable.Count(trial => trial.Detected);

    /// <summary>Faults isolated to this many items or fewer, at best.</summary>
    public int BoundIsolated(int items) => Detectable.Count(trial => trial.Bound.Items <= items);

    /// <summary>Faults that were isolated to this many items or fewer, the true one among them.</summary>
    public int Isolated(int items) => Detectable.Count(trial => trial.Detected && trial.IsolatedTo <= items);

    /// <summary>Faults whose group held them and nothing that a sweep can tell from them.</summary>
    public int WithinBound => Detectable.Count(trial => trial.IsWithinBound);

    /// <summary>Of those, faults whose group lacked nothing that looks the same on the bench that was swept.</summary>
    public int AsShown => Detectable.Count(trial => trial.IsAsShown);

    /// <summary>Of those, faults whose group was all that looks like them on any bench.</summary>
    public int AsBound => Detectable.Count(trial => trial.IsAsBound);

    /// <summary>Where the sweep said less than the board permits, or something else.</summary>
    public ImmutableArray<FaultTrial> FellShort => [.. Trials.Where(trial => trial.FellShort)];

    public ImmutableArray<PairTrial> PairsOf(PairLook look) => [.. Pairs.Where(pair => pair.Look == look)];

    public ImmutableArray<PairTrial> DetectablePairs => [.. Pairs.Where(pair => pair.Look != PairLook.Healthy)];

    /// <summary>Pairs that were not detected though they can be, or that look like no single fault and were not found.</summary>
    public ImmutableArray<PairTrial> PairsFellShort => [.. DetectablePairs.Where(pair => !pair.Detected || (pair.Look == PairLook.Distinct && !pair.Found && !pair.SaidAlike))];

    public ImmutableArray<Goal> Goals
    {
        get
        {
            var goals = ImmutableArray.CreateBuilder<Goal>();
            goals.Add(AtLeast("Every fault that can be detected is detected", Detected, Detectable.Length, 1));
            goals.Add(AtLeast("For 99 % of them the reported group is the fault and all that looks like it, and no more, as far as the swept bench shows it", AsShown, Detectable.Length, GroupsAsShown));
            if (!Pairs.IsEmpty)
            {
                var (detectable, distinct) = (DetectablePairs, PairsOf(PairLook.Distinct));
                goals.Add(AtLeast("Every pair of faults that can be detected is detected", detectable.Count(pair => pair.Detected), detectable.Length, 1));
                goals.Add(AtLeast("Of 95 % of the pairs that do not hide each other, both are within the first two groups, or what was named looks just like them", distinct.Count(pair => pair.Found || pair.SaidAlike), distinct.Length, PairsWithinTwo));
            }
            if (Healthy.Sweeps > 0)
                goals.Add(AtLeast("No healthy board gives an alarm", Healthy.Sweeps - Healthy.Alarms.Length, Healthy.Sweeps, 1));
            return goals.ToImmutable();
        }
    }

    private static Goal AtLeast(string words, int reached, int of, double share) => new(words, of == 0 ? 1 : (double)reached / of, reached >= share * of);
}
