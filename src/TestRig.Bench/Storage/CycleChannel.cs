using TestRig.Core.Judging;

namespace TestRig.Bench.Storage;

/// <param name="Summary">Of a channel that is not working: the condition with its reason. Null of one that is.</param>
public sealed record CycleChannel(string Channel, Condition Condition, string? Summary)
{
    /// <summary>It was judged, and is not working.</summary>
    public bool Failed => Condition is not (Condition.Working or Condition.NotTested);
}
