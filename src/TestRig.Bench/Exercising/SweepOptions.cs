using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <param name="MotorOffConfirmed">The operator has said that the motor supply is off; needed in logic-only mode where no test point senses it.</param>
/// <param name="NoStopInputAcknowledged">The operator accepts motion though the profile names no stop input.</param>
public sealed record SweepOptions(ExerciseMode Mode, bool MotorOffConfirmed, bool NoStopInputAcknowledged)
{
    /// <summary>Channels that share nothing are exercised at the same time, as many as the profile permits; what is not clear then is exercised again alone.</summary>
    public bool Together { get; init; }

    /// <summary>How often every channel is exercised, at least 1: one round of all of them after another.</summary>
    public int Repeats { get; init; } = 1;

    /// <summary>A board on which nothing moves is never exercised with motion, whatever was asked for.</summary>
    public SweepOptions On(Board board) => board.Moves ? this : this with { Mode = ExerciseMode.LogicOnly };
}
