using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <summary>Everything that a sweep found.</summary>
/// <param name="Channels">In profile order; channels that were not reached are there as not tested.</param>
/// <param name="Checks">What was checked before and after driving.</param>
/// <param name="PlannedStimulus">Sum of the lengths of all programs that ran.</param>
/// <param name="StimulusElapsed">Host time from each program's request to its end, summed.</param>
public sealed record SweepResult(
    Board Board,
    AdapterIdentity Adapter,
    ExerciseMode Mode,
    DateTimeOffset Started,
    ImmutableArray<ChannelResult> Channels,
    ImmutableArray<CheckDone> Checks,
    Diagnosis Diagnosis,
    SweepEnding Ending,
    Duration PlannedStimulus,
    TimeSpan StimulusElapsed)
{
    /// <summary>Channels that share nothing were exercised at the same time, and those that were not clear then again alone.</summary>
    public bool Together { get; init; }

    /// <summary>How often every channel was to be exercised.</summary>
    public int Repeats { get; init; } = 1;

    /// <summary>What each round found by itself, where there was more than one to be; empty where each channel was to be exercised once.</summary>
    public ImmutableArray<SweepRound> Rounds { get; init; } = [];

    /// <summary>How the link to the adapter fared; null where there is none that could be disturbed.</summary>
    public LinkHealth? Link { get; init; }

    /// <summary>All that was looked at, as a diagnosis takes it.</summary>
    public ImmutableArray<Seen> Seen { get; init; } = [];

    /// <summary>The parts to have at hand; none where nothing is faulty.</summary>
    public Spares Spares => Spares.Of(Board, Channels, Diagnosis);

    public bool AnyFaulty => Channels.Any(result => result.IsFaulty);

    public bool Incomplete => Ending.Outcome != SweepOutcome.Complete
        || Channels.Any(result => result.Condition == Condition.NotTested)
        || Checks.Any(check => !check.Good);
}
