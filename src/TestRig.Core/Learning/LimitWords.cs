using System.Globalization;
using TestRig.Core.Quantities;
using TestRig.Core.Statistics;

namespace TestRig.Core.Learning;

/// <summary>How limits were found, or why there are none, in words.</summary>
internal static class LimitWords
{
    /// <param name="uncertainty">What the limits were widened by; zero where by nothing.</param>
    public static string Of(ToleranceLimits limits, ToleranceAim aim, Duration uncertainty)
    {
        var widened = uncertainty > Duration.Zero ? $", widened by the ±{uncertainty} of measuring" : "";
        return limits.Method switch
        {
            ToleranceMethod.Normal => string.Create(CultureInfo.InvariantCulture, $"normal limits of {limits.Number} repeats, k = {limits.Factor:0.000}, for {aim}{widened}"),
            ToleranceMethod.OrderStatistic => string.Create(CultureInfo.InvariantCulture, $"order-statistic limits of {limits.Number} repeats, which are not normal, for {aim}{widened}"),
            ToleranceMethod.Exact => string.Create(CultureInfo.InvariantCulture, $"the same in all {limits.Number} repeats, so that no spread is known{widened}"),
            ToleranceMethod.TooFew => TooFew(limits, aim),
            _ => throw new InvalidOperationException($"{limits.Method} has no words."),
        };
    }

    private static string TooFew(ToleranceLimits limits, ToleranceAim aim)
    {
        var have = limits.CoverageOfExtremes is { } coverage
            ? string.Create(CultureInfo.InvariantCulture, $"; {limits.Number} hold only {coverage * 100:0.#} % of them")
            : "";
        var repeats = string.Create(CultureInfo.InvariantCulture, $"{limits.Number} {(limits.Number == 1 ? "repeat is" : "repeats are")} too few");
        return limits.Number < NormalityTest.LeastNumber
            ? string.Create(CultureInfo.InvariantCulture, $"{repeats} to see how they spread: at least {NormalityTest.LeastNumber} are needed, 30 are better, and {limits.NumberNeeded} for {aim} whatever the spread")
            : string.Create(CultureInfo.InvariantCulture, $"{repeats}: they are not normal, and without that {limits.NumberNeeded} are needed for {aim}{have}");
    }
}
