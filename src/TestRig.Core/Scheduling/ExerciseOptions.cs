using TestRig.Core.Quantities;

namespace TestRig.Core.Scheduling;

/// <summary>How an exercise is laid out in time.</summary>
/// <param name="LeadIn">Quiet time before the command: long enough to see that nothing moves by itself.</param>
/// <param name="Observe">How long each state is watched before its levels are read (logic only).</param>
/// <param name="Coast">How long the axis is watched after the command (motion).</param>
/// <param name="Margin">Between a level reading and the next step.</param>
/// <param name="Samples">Conversions for each level reading, 1..64.</param>
/// <param name="SampleTime">What the adapter needs for one conversion, worst case.</param>
public sealed record ExerciseOptions(
    Duration LeadIn, Duration Observe, Duration Coast, Duration Margin, int Samples, Duration SampleTime)
{
    /// <summary>
    /// How long each state lasts at least beyond the slowest arrival, so that an adapter with few looks has looked at it for certain, late for its steps or not.
    /// Zero where looks are as good as continuous.
    /// </summary>
    public Duration Seeing { get; init; }

    /// <summary>By how much later everything comes than it would: where in the row of the adapter's looks the command falls (see <see cref="StimulusPhase"/>).</summary>
    public Duration Phase { get; init; }

    /// <summary>How late a step may be served; a line may be on for so much longer than planned. Zero where the adapter itself times its steps.</summary>
    public Duration StepLateness { get; init; }

    public static ExerciseOptions For(Duration sampleTime) => new(
        Duration.FromMilliseconds(5),
        Duration.FromMilliseconds(60),
        Duration.FromMilliseconds(150),
        Duration.FromMilliseconds(1),
        8,
        sampleTime);
}
