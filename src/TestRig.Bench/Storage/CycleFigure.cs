namespace TestRig.Bench.Storage;

/// <param name="Value">In the unit of the key's kind.</param>
/// <param name="Lowest">The limit below it, in the same unit; null where there is none.</param>
/// <param name="Highest">The limit above it; null where there is none.</param>
public sealed record CycleFigure(FigureKey Key, long Value, long? Lowest, long? Highest);
