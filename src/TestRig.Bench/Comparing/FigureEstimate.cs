using TestRig.Bench.Storage;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Comparing;

/// <summary>What a run knows of one figure. In the unit of its kind.</summary>
/// <param name="Cycles">In which it was measured; at least 1.</param>
/// <param name="Guard">So far from the mean the true mean may lie by what the adapter does not know (JCGM 106:2012, guard band); null where nothing is kept that says so.</param>
/// <param name="Scatter">The mean with its error, from how the cycles differ; null of a single one.</param>
/// <param name="Spread">Standard deviation of single cycles; null of a single one.</param>
/// <param name="Lowest">The limit below it; null where there is none.</param>
/// <param name="Highest">The limit above it; null where there is none.</param>
/// <param name="Varies">Each time is another by nature, as a contact's bounces are: of a single cycle it tells nothing.</param>
public sealed record FigureEstimate(FigureKey Key, long Cycles, double Mean, double? Guard, BatchMean? Scatter, double? Spread, long? Lowest, long? Highest, bool Varies);
