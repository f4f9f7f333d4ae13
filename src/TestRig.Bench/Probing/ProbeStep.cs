using System.Collections.Immutable;
using TestRig.Core.Judging;

namespace TestRig.Bench.Probing;

/// <summary>Where to touch next, and what is expected there.</summary>
/// <param name="Number">Of the question, from 1.</param>
/// <param name="Information">What the touch is expected to tell, in bits.</param>
public sealed record ProbeQuestion(int Number, ProbePoint Point, double Information, ImmutableArray<ProbeExpectation> Expected);

/// <summary>What a person did about it.</summary>
public enum ProbeAnswer
{
    Touched,

    /// <summary>The point cannot be reached.</summary>
    Skipped,
    Quit,
}

/// <summary>One step of probing: the first without the roving lead, then one for each question.</summary>
/// <param name="Question">Null of the first.</param>
/// <param name="Trace">What the point did; before the roving lead touched anything, what the drive point did. Null where nothing was driven.</param>
/// <param name="Findings">What was judged there.</param>
/// <param name="Suspects">What is left by all that was seen so far.</param>
public sealed record ProbeStep(
    ProbeQuestion? Question, ProbeAnswer Answer, string Point, PointTrace? Trace, ImmutableArray<Finding> Findings, ImmutableArray<ProbeSuspect> Suspects)
{
    /// <summary>True when something at the point was not as it should be.</summary>
    public bool IsWrong => Findings.Any(finding => finding.IsWrong);
}
