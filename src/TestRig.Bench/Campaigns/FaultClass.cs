using System.Collections.Immutable;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>Faults that nothing a sweep sees can tell apart, whoever judges it: the bound that the board and its test points set.</summary>
/// <param name="Faults">At least one, in the board's order.</param>
/// <param name="Detectable">False of those that look as a board on which nothing is wrong.</param>
public sealed record FaultClass(ImmutableArray<BoardFault> Faults, bool Detectable)
{
    /// <summary>What would have to be replaced, reclipped or looked for to be rid of any of them.</summary>
    public int Items { get; } = Faults.Select(fault => fault.Item).Distinct().Count();

    /// <summary>True when these are the faults of the class and no others, in whatever order.</summary>
    public bool IsMadeOf(IEnumerable<BoardFault> faults) => Faults.ToHashSet().SetEquals(faults);
}
