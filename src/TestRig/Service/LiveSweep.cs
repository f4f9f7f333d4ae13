using System.Collections.Immutable;
using TestRig.Core.Judging;

namespace TestRig.Service;

/// <summary>A running sweep so far.</summary>
/// <param name="Of">How many channels there are.</param>
public sealed record LiveSweep(int Of, ImmutableArray<JudgedChannel> Judged, ImmutableArray<string> NotGood);

public sealed record JudgedChannel(string Channel, Condition Condition, string? Summary);
