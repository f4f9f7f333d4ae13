using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Judging;

namespace TestRig.Core.Diagnosing;

/// <summary>
/// The parts to have at hand after a sweep that found faults. Parts of one type that were fitted together age together (common practice), so the others of a type that has failed are looked at for small
/// margins.
/// </summary>
/// <param name="Now">For each fault that is one of parts.</param>
/// <param name="Marginal">Working parts of the same types with a small margin, in the order of the profile.</param>
/// <param name="OthersOfType">Of each type to replace: how many more of it a sweep measured, the marginal ones among them.</param>
public sealed record Spares(ImmutableArray<SpareNeed> Now, ImmutableArray<MarginalPart> Marginal, ImmutableArray<(string Type, int Count)> OthersOfType)
{
    public static Spares None { get; } = new([], [], []);

    public bool IsEmpty => Now.IsEmpty;

    /// <summary>The marginal parts as spares, so many of each type.</summary>
    public ImmutableArray<Spare> InReserve => [.. Marginal.GroupBy(part => part.Type).Select(type => new Spare(type.Key, type.Count(), [.. type.Select(part => part.Part)]))];

    public static Spares Of(Board board, ImmutableArray<ChannelResult> results, Diagnosis diagnosis)
    {
        var needs = diagnosis.Faults.Select(fault => NeedOf(board, fault)).OfType<SpareNeed>().ToList();
        if (needs.Count == 0)
            return None;
        var replaced = needs.SelectMany(need => need.OneOf).SelectMany(spare => spare.Parts).ToHashSet();
        var types = needs.SelectMany(need => need.OneOf).Select(spare => spare.Type).Distinct().ToList();
        var others = board.Parts.Where(part => types.Contains(part.Type.Name) && !replaced.Contains(part.Name)).ToList();
        return new(
            Merged(needs),
            [.. others.Select(part => Margins.Small(part, results)).OfType<MarginalPart>()],
            [.. types.Select(type => (type, others.Count(part => part.Type.Name == type && Margins.WasMeasured(part, results))))]);
    }

    /// <summary>Null where nothing is to be replaced: the most probable item is a lead, a supply, a bridge, which is looked at first.</summary>
    private static SpareNeed? NeedOf(Board board, Fault fault)
    {
        var group = fault.Suspects[0].Group;
        Part? PartOf(string item) => board.Parts.FirstOrDefault(part => part.Name == item);
        if (PartOf(group[0]) is null)
            return null;
        return new(
            [.. group.Select(PartOf).OfType<Part>().GroupBy(part => part.Type.Name).Select(type => new Spare(type.Key, 1, [.. type.Select(part => part.Name)]))],
            [.. group.Where(item => PartOf(item) is null)]);
    }

    /// <summary>Parts that surely have failed, by type; two sections of one package are one part. What is open stays as it is.</summary>
    private static ImmutableArray<SpareNeed> Merged(List<SpareNeed> needs)
    {
        var sure = needs.FindAll(need => need is { OneOf: [{ Parts.Length: 1 }], Unless.IsEmpty: true });
        var known = sure.Select(need => need.OneOf[0]).GroupBy(spare => spare.Type).Select(type =>
        {
            ImmutableArray<string> parts = [.. type.SelectMany(spare => spare.Parts).Distinct()];
            return new SpareNeed([new(type.Key, parts.Length, parts)], []);
        });
        return [.. known, .. needs.Except(sure)];
    }
}
