namespace TestRig.Core.Judging;

/// <summary>How one point of a channel's path behaved through a whole exercise (command on, command off).</summary>
public enum PointState
{
    /// <summary>No lead there, or what was seen does not decide.</summary>
    Unseen,
    Good,

    /// <summary>It kept the level that it has while nothing is commanded: the command does not arrive.</summary>
    StaysIdle,

    /// <summary>It kept the level that means "commanded".</summary>
    StaysActive,
    Late,
    Early,
    WrongWay,
    Weak,
    Bouncing,
}
