using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>What experiments showed, in the order of the experiments. Experiments that were not made, or that did not tell, are not in it.</summary>
public sealed class Outcomes
{
    private Outcomes(ImmutableArray<(int Experiment, int Outcome)> all) => All = all;

    public static Outcomes None { get; } = new([]);

    public ImmutableArray<(int Experiment, int Outcome)> All { get; }

    /// <summary>The same and one experiment more; a later outcome of the same experiment takes the place of an earlier one.</summary>
    public Outcomes With(int experiment, int outcome) => Of(All.Add((experiment, outcome)));

    /// <summary>Of several outcomes of one experiment, the last.</summary>
    public static Outcomes Of(IEnumerable<(int Experiment, int Outcome)> made) =>
        new([.. made.GroupBy(one => one.Experiment).Select(same => same.Last()).OrderBy(one => one.Experiment)]);
}
