using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A published life test of an LED.</summary>
/// <param name="Celsius">Its temperature, °C.</param>
/// <param name="RatioLeft">Transfer ratio after it over that before it.</param>
public sealed record LedTest(Amperes Current, double Celsius, double Hours, double RatioLeft, string Source);
