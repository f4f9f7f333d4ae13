using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Choosing;

/// <summary>Which of several points tell most faults apart, where not all can be watched.</summary>
/// <param name="odds">Of each fault, each above 0; only their ratios matter.</param>
/// <param name="always">For each fault, what is seen of it whatever is chosen: faults with the same number look alike.</param>
/// <param name="looks">For each point and each fault, what it shows there: faults with the same number look alike at that point.</param>
public sealed class PointChoice(ImmutableArray<double> odds, ImmutableArray<int> always, ImmutableArray<ImmutableArray<int>> looks)
{
    private const double Alike = 1e-9;

    private readonly double _sum = odds.Sum();

    /// <summary>
    /// The points one after the other, each the one that tells most beside those before; then, as long as that tells more, one of them exchanged for another. Seldom worse than the best choice, and never
    /// worse than without the exchange.
    /// </summary>
    /// <returns>Indices of points, ascending.</returns>
    public ImmutableArray<int> Choose(int count)
    {
        var chosen = ImmutableArray<int>.Empty;
        while (chosen.Length < Math.Min(count, looks.Length))
            chosen = Best(Others(chosen).Select(point => chosen.Add(point)));
        while (true)
        {
            var exchanged = chosen.SelectMany(_ => Others(chosen), (gone, taken) => chosen.Replace(gone, taken)).ToList();
            if (exchanged.Count == 0 || Best(exchanged) is var better && EntropyLeft(better) >= EntropyLeft(chosen) - Alike)
                return [.. chosen.Order()];
            chosen = better;
        }
    }

    /// <summary>What is expected to be unknown of the fault when all that these points show is known, in bits: 0 when each fault is told from every other.</summary>
    public double EntropyLeft(ImmutableArray<int> chosen) =>
        Groups(chosen).Sum(group => group.Sum / _sum * -group.Odds.Sum(one => one / group.Sum * Math.Log2(one / group.Sum)));

    /// <summary>Expected number of faults that look like the one that is there, itself among them: 1 when each is told from every other.</summary>
    public double FaultsLeft(ImmutableArray<int> chosen) => Groups(chosen).Sum(group => group.Sum / _sum * group.Odds.Length);

    private ImmutableArray<int> Best(IEnumerable<ImmutableArray<int>> choices) => choices.Aggregate((best, other) => EntropyLeft(other) < EntropyLeft(best) - Alike ? other : best);

    private IEnumerable<int> Others(ImmutableArray<int> chosen) => Enumerable.Range(0, looks.Length).Where(point => !chosen.Contains(point));

    private IEnumerable<(ImmutableArray<double> Odds, double Sum)> Groups(ImmutableArray<int> chosen) => Enumerable.Range(0, odds.Length)
        .GroupBy(fault => string.Join(' ', chosen.Select(point => looks[point][fault]).Prepend(always[fault])))
        .Select(group => group.Select(fault => odds[fault]).ToImmutableArray())
        .Select(group => (group, group.Sum()));
}
