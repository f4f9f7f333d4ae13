namespace TestRig.Bench.Injecting;

/// <summary>What an injection tells of a channel.</summary>
public enum InjectionOutcome
{
    /// <summary>All that is behind the net follows: a fault of the channel is in front of it.</summary>
    BehindWorks,

    /// <summary>Not even from there: the fault is at the net or behind it.</summary>
    FaultBehind,

    /// <summary>It was not driven, or not all was seen.</summary>
    Undecided,
}
