namespace TestRig.Core.Scheduling;

public enum ExerciseMode
{
    /// <summary>The motor supply is off: the signal path is exercised, nothing moves.</summary>
    LogicOnly,

    /// <summary>The motor supply is on: the channel moves its axis.</summary>
    Motion,
}
