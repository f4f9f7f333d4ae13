using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>What a logic input asks of its net.</summary>
/// <param name="Limits">What it is sure to take for low and for high.</param>
/// <param name="Floats">What it reads while nothing drives it; null when that is not known.</param>
/// <param name="LowCurrentMaximum">Out of it while it is held low; null when not known.</param>
/// <param name="HighCurrentMaximum">Into it while it is held high; null when not known.</param>
public sealed record InputLoad(LevelLimits Limits, Level? Floats, Amperes? LowCurrentMaximum, Amperes? HighCurrentMaximum);
