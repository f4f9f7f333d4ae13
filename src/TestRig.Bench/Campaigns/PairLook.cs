namespace TestRig.Bench.Campaigns;

/// <summary>What may be expected of two faults at once.</summary>
public enum PairLook
{
    /// <summary>Nothing: the board looks as if nothing were wrong.</summary>
    Healthy,

    /// <summary>It looks as one of the two alone does: that one hides the other.</summary>
    Masked,

    /// <summary>It looks as another single fault does, which is more probable.</summary>
    LikeAnother,

    /// <summary>It looks as no single fault does.</summary>
    Distinct,
}
