using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Scheduling;

/// <summary>One program with what the adapter sees while it runs.</summary>
public sealed record PlannedRun(StimulusProgram Program, PointSelection Selection, ImmutableArray<Exercise> Exercises);

/// <summary>Programs that belong together: when all of them have run, their channels can be judged.</summary>
/// <param name="Runs">In order. The same exercises come again in each, once for every selection of test points.</param>
public sealed record Turn(ImmutableArray<PlannedRun> Runs)
{
    /// <summary>Each exercise of the turn once, in order.</summary>
    public ImmutableArray<Exercise> Exercises => [.. Runs.SelectMany(run => run.Exercises).DistinctBy(exercise => exercise.Channel)];

    public Duration Longest => Runs.Max(run => run.Program.Length);
}
