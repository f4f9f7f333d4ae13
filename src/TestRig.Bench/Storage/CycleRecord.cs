using System.Collections.Immutable;
using TestRig.Bench.Exercising;

namespace TestRig.Bench.Storage;

/// <summary>What is kept of every cycle.</summary>
/// <param name="Number">From 1, without gaps, in the whole run.</param>
/// <param name="Took">From its start to its end.</param>
/// <param name="Channels">In the profile's order.</param>
/// <param name="Checks">Names of the checks that were not good; with words, as "supplies: Supply 'logic' reads ...".</param>
public sealed record CycleRecord(
    long Number, DateTimeOffset Started, TimeSpan Took, SweepOutcome Outcome, string Words, ImmutableArray<CycleChannel> Channels, ImmutableArray<string> Checks, ImmutableArray<CycleFigure> Figures)
{
    /// <summary>True with a channel that is neither working nor untested, or with a check that is not good.</summary>
    public bool Failed => !Checks.IsEmpty || Channels.Any(channel => channel.Failed);
}
