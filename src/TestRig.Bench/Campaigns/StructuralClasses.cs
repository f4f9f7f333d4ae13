using System.Collections.Immutable;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>The faults of a board, each with all that nothing a sweep sees can tell from it.</summary>
internal sealed class StructuralClasses
{
    private readonly ImmutableArray<(BoardFault Fault, Observation Look)> _faults;
    private readonly Dictionary<BoardFault, FaultClass> _ofFault = [];

    /// <param name="healthy">What a board of nominal parts shows on which nothing is wrong.</param>
    /// <param name="faults">Each once, with what a board shows that has it.</param>
    public StructuralClasses(Observation healthy, IEnumerable<(BoardFault Fault, Observation Look)> faults)
    {
        Healthy = healthy;
        _faults = [.. faults];
        var known = new Dictionary<string, FaultClass>();
        // Itself is one of them.
        var classes = _faults.AsParallel().AsOrdered().Select(entry => (entry.Fault, Class: LikeThis(entry.Look)!));
        foreach (var (fault, alike) in classes)
        {
            var key = $"{alike.Detectable} {string.Join(' ', alike.Faults)}";
            _ofFault[fault] = known.TryAdd(key, alike) ? alike : known[key];
        }
        All = [.. _faults.Select(entry => _ofFault[entry.Fault]).Distinct()];
    }

    public Observation Healthy { get; }

    /// <summary>In the order of their first faults. Where guard bands reach over each other, a fault may be in more than one.</summary>
    public ImmutableArray<FaultClass> All { get; }

    public FaultClass Of(BoardFault fault) => _ofFault[fault];

    /// <summary>The single faults that look like this; null when none does.</summary>
    public FaultClass? LikeThis(Observation look)
    {
        ImmutableArray<BoardFault> alike = [.. _faults.Where(entry => entry.Look.IsLike(look)).Select(entry => entry.Fault)];
        return alike.IsEmpty ? null : new(alike, Detectable: !look.IsNominallyLike(Healthy));
    }
}
