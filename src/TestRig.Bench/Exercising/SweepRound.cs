using System.Collections.Immutable;
using TestRig.Core.Judging;

namespace TestRig.Bench.Exercising;

/// <summary>One round of a sweep of several.</summary>
/// <param name="Channels">In profile order; those that it did not reach are left out.</param>
public sealed record SweepRound(DateTimeOffset Started, TimeSpan Took, ImmutableArray<ChannelResult> Channels);
