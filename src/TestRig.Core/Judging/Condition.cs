namespace TestRig.Core.Judging;

/// <summary>A channel's summary.</summary>
public enum Condition
{
    Working,
    Dead,
    StuckHigh,
    StuckLow,
    Slow,
    Weak,
    Bouncing,
    Inverted,
    Crossed,
    Intermittent,
    LeadOpen,
    NotTested,
}
