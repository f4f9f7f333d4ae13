namespace TestRig.Core.Statistics;

/// <summary>How tolerance limits were found, or why there are none.</summary>
public enum ToleranceMethod
{
    /// <summary>Mean ± k standard deviations (ISO 16269-6).</summary>
    Normal,

    /// <summary>Two of the values themselves, whatever the distribution (ISO 16269-6).</summary>
    OrderStatistic,

    /// <summary>All values are the same: both limits are that value.</summary>
    Exact,

    /// <summary>There are none: too few values to know their distribution, or for limits without knowing it.</summary>
    TooFew,
}
