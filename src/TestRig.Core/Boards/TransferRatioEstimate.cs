namespace TestRig.Core.Boards;

/// <summary>What a level at the output of an isolator says of its current transfer ratio.</summary>
/// <param name="Ratio">As a fraction: 0.7 for 70 %.</param>
/// <param name="StandardUncertainty">Of <paramref name="Ratio"/>, in the same unit (JCGM 100).</param>
/// <param name="AtLeast">True when the output is saturated: the ratio is this or more, and the level says no more.</param>
public sealed record TransferRatioEstimate(double Ratio, double StandardUncertainty, bool AtLeast);
