using TestRig.Core.Quantities;

namespace TestRig.Core.Captures;

/// <summary>An averaged voltage reading.</summary>
/// <param name="At">Start of the first conversion.</param>
/// <param name="Mean">At the test point, that is, before the divider.</param>
/// <param name="Samples">Conversions averaged; at least 1.</param>
/// <param name="StandardUncertainty">Of the mean: reference, converter and spread together.</param>
public sealed record LevelReading(
    string Signal, Instant At, Volts Mean, Volts Minimum, Volts Maximum, int Samples, Volts StandardUncertainty);
