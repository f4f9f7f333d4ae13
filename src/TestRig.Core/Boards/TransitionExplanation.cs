using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>One expected transition.</summary>
/// <param name="To">The level that it ends at: high for a rise.</param>
/// <param name="Window">Permitted delay behind the stage's input, with its origin.</param>
/// <param name="EarliestFromDrive">Earliest behind the transition of the line: the sum of the windows up to here.</param>
/// <param name="LatestFromDrive">Latest behind the transition of the line.</param>
public sealed record TransitionExplanation(Level To, DelayRange Window, Duration EarliestFromDrive, Duration LatestFromDrive);
