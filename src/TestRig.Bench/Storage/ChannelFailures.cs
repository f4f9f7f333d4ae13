using TestRig.Core.Judging;

namespace TestRig.Bench.Storage;

/// <summary>In how many cycles of a run a channel was in a condition that is neither working nor untested.</summary>
public sealed record ChannelFailures(string Channel, Condition Condition, long Cycles);
