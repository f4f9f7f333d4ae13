using TestRig.Core.Judging;

namespace TestRig.Bench.Storage;

/// <summary>One thing that is measured in every cycle: a series of a run.</summary>
public sealed record FigureKey(string Channel, string TestPoint, Expectation Expected, FigureKind Kind);
