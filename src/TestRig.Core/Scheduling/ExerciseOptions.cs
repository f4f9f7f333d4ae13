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
    public static ExerciseOptions For(Duration sampleTime) => new(
        Duration.FromMilliseconds(5),
        Duration.FromMilliseconds(60),
        Duration.FromMilliseconds(150),
        Duration.FromMilliseconds(1),
        8,
        sampleTime);
}
