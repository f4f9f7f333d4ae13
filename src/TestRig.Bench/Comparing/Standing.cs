namespace TestRig.Bench.Comparing;

/// <summary>How the later of two runs stands to the earlier one.</summary>
public enum Standing
{
    /// <summary>No difference that could be told from what is not known.</summary>
    Same,

    Better,

    /// <summary>Different for sure, and neither better nor worse.</summary>
    Changed,

    /// <summary>They may differ or not: not enough was measured.</summary>
    Undecided,

    Worse,
}
