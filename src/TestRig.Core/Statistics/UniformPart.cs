namespace TestRig.Core.Statistics;

/// <summary>One or several equal and independent parts of a sum, each uniform in ± <paramref name="HalfWidth"/>.</summary>
/// <param name="HalfWidth">At least 0, in any unit, the same for all parts of a sum.</param>
/// <param name="Count">How many of them; at least 1.</param>
public readonly record struct UniformPart(double HalfWidth, int Count = 1)
{
    /// <summary>Of all of them together.</summary>
    public double Variance => HalfWidth * HalfWidth / 3 * Count;
}
