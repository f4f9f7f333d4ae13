namespace TestRig.Core.Judging;

/// <summary>What was found of one expected transition, quiet line, level or feedback.</summary>
public enum Verdict
{
    Conforms,
    Late,
    Early,

    /// <summary>An expected transition did not come.</summary>
    Absent,

    /// <summary>It came in the other direction.</summary>
    WrongWay,

    /// <summary>A transition that nothing commanded.</summary>
    Extra,
    Bouncing,

    /// <summary>The level is not one that the receiver behind is sure to understand.</summary>
    Weak,

    /// <summary>It was looked at, but the adapter cannot tell.</summary>
    NotResolved,

    /// <summary>It was not looked at, or does not apply in this mode.</summary>
    NotTested,
}
