namespace TestRig.Core.Judging;

/// <summary>What a finding is about.</summary>
public enum Expectation
{
    Rises,
    Falls,

    /// <summary>No transition: the exercise does not concern this point.</summary>
    Quiet,

    /// <summary>A voltage that the receiver behind is sure to take for low.</summary>
    LowLevel,

    /// <summary>A voltage that the receiver behind is sure to take for high.</summary>
    HighLevel,

    /// <summary>Feedback pulses in number.</summary>
    Pulses,

    /// <summary>A contact that settles.</summary>
    Settles,
}
