using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>The explanations that were found, most probable first, each with its share of belief.</summary>
/// <param name="Surprising">Experiments that came out as they do not where nothing is wrong.</param>
public sealed record SearchResult<TFault>(ImmutableArray<(Explanation<TFault> Explanation, double Belief)> Ranked, ImmutableArray<int> Surprising)
    where TFault : notnull
{
    public Explanation<TFault> Best => Ranked[0].Explanation;

    /// <summary>
    /// Explanations that predict everything seen and of which no part alone does (de Kleer and Williams, Diagnosing multiple faults, Artificial Intelligence 32 (1987) 97-130: minimal diagnoses).
    /// </summary>
    public ImmutableArray<ImmutableArray<TFault>> Minimal
    {
        get
        {
            var consistent = Ranked.Where(entry => entry.Explanation.Misfits == 0).Select(entry => entry.Explanation.Faults).ToList();
            return [.. consistent.Where(faults => !consistent.Exists(other => other.Length < faults.Length && other.All(faults.Contains)))];
        }
    }
}
