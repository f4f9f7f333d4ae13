namespace TestRig.Core.Judging;

/// <summary>What the lead check said of a test point.</summary>
public enum LeadState
{
    /// <summary>Not checked, or behind a divider, where the check cannot tell.</summary>
    Unknown,

    /// <summary>Something drives the pin: the lead is whole.</summary>
    Driven,

    /// <summary>The pin follows discharge and pull-up: the lead is open, or nothing drives the net.</summary>
    Follows,
}
