using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Choosing;

/// <summary>
/// How few leads watch many points in several passes, with the fewest clips moved. M points and N leads need at least M − N moves, since the first pass shows N points at most and each move brings one more; a
/// plan in which no lead comes to a point twice, and each has one from the start, needs no more. Such a plan there always is, so nothing that is wanted besides costs a move: a channel is to show all of its
/// points in one pass where the leads permit it, and passes are to be few.
/// </summary>
/// <param name="kinds">For each point, the kind of lead that it takes, from 0; a lead stays of its kind.</param>
/// <param name="channels">For each channel, its points in the order in which a command passes them; at least one each, and together all points.</param>
public sealed class PassPlanner(ImmutableArray<int> kinds, ImmutableArray<ImmutableArray<int>> channels)
{
    /// <summary>Orders of so many channels are all tried: 120.</summary>
    private const int MostPermuted = 5;

    /// <summary>So many ways to deal leads to kinds are looked at, which is all of them for four kinds of six points each.</summary>
    private const int MostDeals = 2000;

    private readonly ImmutableArray<int> _points = [.. kinds.GroupBy(kind => kind).OrderBy(kind => kind.Key).Select(kind => kind.Count())];

    /// <summary>
    /// The plan with the fewest channels split and, of those, the fewest passes, parts with a point in common where that takes no more passes, among all plans that deal the leads to kinds and take up the channels one after the other. Up to five channels every order of
    /// them is tried; of more, the order in which they are given.
    /// </summary>
    /// <param name="leads">At least 1; as many as there are points, or more, need one pass.</param>
    /// <returns>Null with fewer leads than kinds.</returns>
    public PassPlan? Plan(int leads)
    {
        if (leads < _points.Length)
            return null;
        var deals = Deals(0, Math.Min(leads, kinds.Length)).Take(MostDeals).ToList();
        return deals.SelectMany(deal => Orders().SelectMany(order => (bool[])[true, false], (order, joined) => new PassLayout(kinds, channels, order, deal, joined).Plan()))
            .MinBy(plan => (plan.Split.Length, plan.Passes.Length));
    }

    /// <summary>All ways to deal so many leads to the kinds from this one on: at least one to each, and no more than it has points.</summary>
    private IEnumerable<ImmutableArray<int>> Deals(int kind, int leads)
    {
        if (kind == _points.Length)
            return leads == 0 ? [[]] : [];
        return Enumerable.Range(1, Math.Min(_points[kind], leads)).SelectMany(own => Deals(kind + 1, leads - own).Select(rest => rest.Insert(0, own)));
    }

    private IEnumerable<ImmutableArray<int>> Orders()
    {
        ImmutableArray<int> all = [.. Enumerable.Range(0, channels.Length)];
        return all.Length <= MostPermuted ? Permutations(all) : [all];
    }

    private static IEnumerable<ImmutableArray<int>> Permutations(ImmutableArray<int> items) =>
        items.IsEmpty ? [[]] : items.SelectMany(first => Permutations(items.Remove(first)).Select(rest => rest.Insert(0, first)));
}
