using System.Globalization;

namespace TestRig.Core.Statistics;

/// <summary>What tolerance limits are to hold: at least a share of the population, with a confidence.</summary>
public sealed record ToleranceAim
{
    /// <exception cref="ArgumentOutOfRangeException">One of them is not above 0 and below 1.</exception>
    public ToleranceAim(double coverage, double confidence)
    {
        Share.Check(coverage, nameof(coverage));
        Share.Check(confidence, nameof(confidence));
        (Coverage, Confidence) = (coverage, confidence);
    }

    /// <summary>The share of the population within the limits, above 0 and below 1.</summary>
    public double Coverage { get; }

    /// <summary>Above 0 and below 1.</summary>
    public double Confidence { get; }

    /// <summary>"99 % with 95 % confidence".</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Coverage * 100:0.####} % with {Confidence * 100:0.####} % confidence");
}
