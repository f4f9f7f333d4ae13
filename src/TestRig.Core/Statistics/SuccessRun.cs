namespace TestRig.Core.Statistics;

/// <summary>
/// What a run of successes without any failure shows: n in a row have a probability of Rⁿ at a reliability of R, so that R is shown with a confidence of 1 − Rⁿ (O'Connor and Kleyner, Practical Reliability
/// Engineering: value from memory). It presumes that the successes are independent.
/// </summary>
public static class SuccessRun
{
    /// <summary>The smallest number of successes in a row that shows the reliability: ⌈ln(1 − confidence) / ln reliability⌉.</summary>
    /// <param name="reliability">Probability of a success, above 0 and below 1.</param>
    /// <param name="confidence">Above 0 and below 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">One of them is outside its range.</exception>
    public static long NumberNeeded(double reliability, double confidence)
    {
        Share.Check(reliability, nameof(reliability));
        Share.Check(confidence, nameof(confidence));
        // Rounding must not ask for one more where the quotient is a whole number: 0.9³ = 1 − 0.271.
        return (long)Math.Ceiling(Math.Log(1 - confidence) / Math.Log(reliability) * (1 - 1e-12));
    }

    /// <summary>The reliability that so many successes in a row show: (1 − confidence)^(1/n).</summary>
    /// <param name="successes">n, at least 1.</param>
    /// <param name="confidence">Above 0 and below 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">One of them is outside its range.</exception>
    public static double Reliability(long successes, double confidence) => ExactShare.AtLeast(successes, successes, confidence);
}
