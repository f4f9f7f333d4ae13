using System.Collections.Immutable;
using System.Text.Json.Serialization;
using TestRig.Core.Judging;

namespace TestRig.Service;

/// <param name="Condition">In the latest cycle; null where it was not in it.</param>
/// <param name="FirstWords">What its first failure was; null where it had none.</param>
/// <param name="Worst">The figure that drifts, or else the one that came nearest to its limit, with its worst value; null where nothing was measured.</param>
/// <param name="WorstShare">Of its limit: 1 at the limit; null where it has none.</param>
/// <param name="Drift">What it drifts by in an hour; null where it does not.</param>
/// <param name="Spark">Means of that figure, the first cycles first.</param>
/// <param name="WorstDelayPicoseconds">Null where no delay was measured.</param>
public sealed record LiveChannel(
    string Channel, Condition? Condition, long Judged, long Failures, long NotTested, string? FirstWords, string? Worst, double? WorstShare, string? Drift, ImmutableArray<double> Spark,
    [property: JsonPropertyName("worst_delay_ps")] long? WorstDelayPicoseconds);
