using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>What experiments showed. Experiments that were not made, or that did not tell, are not in it.</summary>
public sealed class Outcomes
{
    private readonly ImmutableSortedDictionary<int, int> _byExperiment;

    private Outcomes(ImmutableSortedDictionary<int, int> byExperiment) => _byExperiment = byExperiment;

    public static Outcomes None { get; } = new(ImmutableSortedDictionary<int, int>.Empty);

    public IEnumerable<(int Experiment, int Outcome)> All => _byExperiment.Select(entry => (entry.Key, entry.Value));

    public int Count => _byExperiment.Count;

    /// <summary>Null when that experiment was not made.</summary>
    public int? At(int experiment) => _byExperiment.TryGetValue(experiment, out var outcome) ? outcome : null;

    /// <summary>The same and one experiment more; a later outcome of the same experiment takes the place of an earlier one.</summary>
    public Outcomes With(int experiment, int outcome) => new(_byExperiment.SetItem(experiment, outcome));

    public static Outcomes Of(IEnumerable<(int Experiment, int Outcome)> made) =>
        new(made.Select(entry => KeyValuePair.Create(entry.Experiment, entry.Outcome)).ToImmutableSortedDictionary());
}
