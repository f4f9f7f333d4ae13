using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Probing;

/// <summary>Everything that probing found.</summary>
/// <param name="LeadPin">The adapter pin of the roving lead.</param>
/// <param name="Refused">Points where no lead may go.</param>
/// <param name="Faults">What is wrong, with what to do; empty where nothing was found.</param>
/// <param name="Ending">Complete when no further touch would have told more.</param>
public sealed record ProbeResult(
    Board Board,
    Channel Channel,
    ExerciseMode Mode,
    AdapterIdentity Adapter,
    string LeadPin,
    ImmutableArray<ProbePoint> Refused,
    ImmutableArray<ProbeStep> Steps,
    ImmutableArray<Fault> Faults,
    ProbeOutcome Outcome,
    SweepEnding Ending)
{
    /// <summary>Points that were touched, in the order of the touches.</summary>
    public ImmutableArray<string> Touched => [.. Steps.Where(step => step is { Question: not null, Answer: ProbeAnswer.Touched }).Select(step => step.Point)];

    /// <summary>What is left by all that was seen.</summary>
    public ImmutableArray<ProbeSuspect> Suspects => Steps.IsEmpty ? [] : Steps[^1].Suspects;
}

public enum ProbeOutcome
{
    /// <summary>Something is wrong; the suspects are what no further touch tells apart, or what was left when it ended.</summary>
    FaultFound,

    /// <summary>All that was touched is as it should be, and no further touch would tell more.</summary>
    NothingWrong,

    /// <summary>Nothing wrong was seen, and not all was seen that would have told.</summary>
    Undecided,
}
