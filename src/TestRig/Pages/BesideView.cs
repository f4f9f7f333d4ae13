using System.Collections.Immutable;
using TestRig.Bench.Comparing;

namespace TestRig.Pages;

/// <summary>Two runs side by side, the earlier one first.</summary>
public sealed record BesideView(RunComparison Comparison, ImmutableArray<BesideChannel> Channels);

/// <param name="Before">Null where it was not exercised, or nothing is kept.</param>
/// <param name="After">Null where it was not exercised, or nothing is kept.</param>
public sealed record BesideChannel(ChannelChange Change, PlotView? Before, PlotView? After);
