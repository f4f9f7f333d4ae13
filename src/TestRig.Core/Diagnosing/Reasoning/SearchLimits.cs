namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>How far explanations by several faults are looked for, where there are too many of them to look at each.</summary>
/// <param name="PairsThroughout">With no more pairs of faults than this, each is weighed.</param>
/// <param name="BestExtended">Otherwise so many of the best explanations are looked at more closely, and put together with every fault more.</param>
/// <param name="MostPredicted">And so many of the most promising are predicted.</param>
/// <param name="LookedAtClosely">So many of the best single faults are predicted more closely where they do not predict all that was seen.</param>
/// <param name="MostFaults">Faults of one explanation at most.</param>
public sealed record SearchLimits(int PairsThroughout, int BestExtended, int MostPredicted, int LookedAtClosely, int MostFaults)
{
    public static SearchLimits Usual { get; } = new(PairsThroughout: 2000, BestExtended: 24, MostPredicted: 768, LookedAtClosely: 64, MostFaults: 4);

    /// <summary>One channel has few faults, and many pairs of them: each is tried at every place of a lead, while a person waits.</summary>
    public static SearchLimits OfOneChannel { get; } = Usual with { PairsThroughout = 60, MostPredicted = 48 };
}
