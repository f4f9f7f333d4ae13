using System.Collections.Immutable;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>The faults of a board, put together where they look alike.</summary>
internal sealed class StructuralClasses
{
    private readonly Dictionary<BoardFault, FaultClass> _ofFault = [];
    private readonly Dictionary<Observation, FaultClass> _ofLook = [];

    /// <param name="healthy">What a board shows on which nothing is wrong.</param>
    /// <param name="faults">Each once, with what a board shows that has it.</param>
    public StructuralClasses(Observation healthy, IEnumerable<(BoardFault Fault, Observation Look)> faults)
    {
        Healthy = healthy;
        var classes = ImmutableArray.CreateBuilder<FaultClass>();
        foreach (var alike in faults.GroupBy(entry => entry.Look, entry => entry.Fault))
        {
            var made = new FaultClass([.. alike], Detectable: alike.Key != healthy);
            classes.Add(made);
            _ofLook[alike.Key] = made;
            foreach (var fault in made.Faults)
                _ofFault[fault] = made;
        }
        All = classes.ToImmutable();
    }

    public Observation Healthy { get; }

    /// <summary>In the order of their first faults.</summary>
    public ImmutableArray<FaultClass> All { get; }

    public FaultClass Of(BoardFault fault) => _ofFault[fault];

    /// <summary>The single faults that look like this; null when none does.</summary>
    public FaultClass? LikeThis(Observation look) => _ofLook.GetValueOrDefault(look);
}
