using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>A channel judged, with the capture that it was judged by.</summary>
/// <param name="FirstFailure">The first finding, in path order, that is not as expected; null when there is none.</param>
/// <param name="Path">Every point of the path in order, the drive point first.</param>
/// <param name="Capture">Null when the channel could not be exercised.</param>
/// <param name="Summary">The condition with its reason, as a sentence.</param>
public sealed record ChannelResult(
    Channel Channel,
    Condition Condition,
    ImmutableArray<Finding> Findings,
    Finding? FirstFailure,
    ImmutableArray<PathPoint> Path,
    Capture? Capture,
    string Summary)
{
    /// <summary>Exercises whose captures <see cref="Capture"/> was put together from; one where all points were seen at once.</summary>
    public int Exercises { get; init; } = 1;

    /// <summary>What every captured test point did, whether this channel concerns it or not; empty when the channel was not exercised.</summary>
    public ImmutableArray<PointTrace> Traces { get; init; } = [];

    public ExerciseMode Mode { get; init; }

    /// <summary>What it was judged by, to judge it again; null when the channel was not exercised.</summary>
    public ExerciseRecord? Record { get; init; }

    /// <summary>How often each condition was found, in the order in which they were; empty where the exercise was not repeated.</summary>
    public ImmutableArray<RepeatOutcome> Outcomes { get; init; } = [];

    /// <summary>A channel that was not exercised, or not wholly: not tested.</summary>
    /// <param name="words">Why, with what to do.</param>
    public static ChannelResult NotExercised(Channel channel, string words) => new(channel, Condition.NotTested, [], null, [], null, words);

    /// <summary>True when the channel was judged and is not working.</summary>
    public bool IsFaulty => Condition is not (Condition.Working or Condition.NotTested);
}
