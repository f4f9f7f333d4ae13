namespace TestRig.Core.Statistics;

/// <summary>A share of a whole: above 0 and below 1.</summary>
internal static class Share
{
    /// <exception cref="ArgumentOutOfRangeException">It is not above 0 and below 1.</exception>
    public static void Check(double share, string name)
    {
        if (share is not (> 0 and < 1))
            throw new ArgumentOutOfRangeException(name, share, "A share lies above 0 and below 1.");
    }
}
