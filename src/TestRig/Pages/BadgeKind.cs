namespace TestRig.Pages;

/// <summary>How a state is marked beside its word.</summary>
public enum BadgeKind
{
    Good,
    Bad,

    /// <summary>Neither good nor bad: not known, or not over.</summary>
    Open,
}
