using System.Collections.Immutable;
using TestRig.Core.Diagnosing.Choosing;

namespace TestRig.Core.Tests.Diagnosing.Choosing;

public class PointChoiceTests
{
    /// <summary>
    /// A chain of eight stages of which one is dead: a point behind stage i shows whether the dead one is in front of it. One point splits best in the middle: 4 and 4, log2 4 = 2 bits left; three points, behind 2, 4
    /// and 6, leave pairs: 1 bit; seven leave nothing.
    /// </summary>
    [Theory]
    [InlineData(1, 2.0, 4.0)]
    [InlineData(3, 1.0, 2.0)]
    [InlineData(7, 0.0, 1.0)]
    public void On_a_chain_points_are_chosen_evenly(int count, double bits, double faults)
    {
        var chain = Chain(8);
        var chosen = chain.Choose(count);
        Assert.Equal(count, chosen.Length);
        Assert.Equal(bits, chain.EntropyLeft(chosen), 1e-9);
        Assert.Equal(faults, chain.FaultsLeft(chosen), 1e-9);
    }

    /// <summary>
    /// Six faults, alike before. Point 0 leaves two pairs, 4/6 bit, and is chosen first (1 leaves threes, 2 leaves pairs); with either of the others one pair stays, 2/6 bit. Points 1 and 2 together tell all six
    /// apart: only an exchange finds them.
    /// </summary>
    [Fact]
    public void What_was_chosen_first_is_exchanged_where_others_tell_more_together()
    {
        var choice = new PointChoice([1, 1, 1, 1, 1, 1], [0, 0, 0, 0, 0, 0], [[0, 1, 1, 0, 2, 3], [0, 0, 0, 1, 1, 1], [0, 1, 2, 0, 1, 2]]);
        Assert.Equal([0], choice.Choose(1).AsEnumerable());
        Assert.Equal(2.0 / 6, choice.EntropyLeft([0, 1]), 1e-9);
        Assert.Equal([1, 2], choice.Choose(2).AsEnumerable());
    }

    /// <summary>Every choice was looked at: none leaves less.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void On_small_boards_no_choice_leaves_less(int seed)
    {
        var random = new Random(seed);
        var odds = Enumerable.Range(0, 12).Select(_ => 0.1 + random.NextDouble()).ToImmutableArray();
        var choice = new PointChoice(odds, [.. odds.Select(_ => 0)], [.. Enumerable.Range(0, 6).Select(_ => odds.Select(_ => random.Next(2)).ToImmutableArray())]);
        for (var count = 1; count <= 5; count++)
        {
            var least = Enumerable.Range(0, 1 << 6).Select(bits => Enumerable.Range(0, 6).Where(point => (bits >> point & 1) == 1).ToImmutableArray())
                .Where(points => points.Length == count).Min(choice.EntropyLeft);
            Assert.Equal(least, choice.EntropyLeft(choice.Choose(count)), 1e-9);
        }
    }

    /// <summary>A fault three times as likely as each of three others: told from them, and they not from each other, half of the time log2 3 bits are left.</summary>
    [Fact]
    public void Odds_weigh_what_is_left()
    {
        var choice = new PointChoice([3, 1, 1, 1], [0, 0, 0, 0], [[1, 0, 0, 0]]);
        Assert.Equal(Math.Log2(3) / 2, choice.EntropyLeft([0]), 1e-9);
        Assert.Equal((0.5 * 1) + (0.5 * 3), choice.FaultsLeft([0]), 1e-9);
    }

    private static PointChoice Chain(int stages) => new(
        [.. Enumerable.Repeat(1.0, stages)], [.. Enumerable.Repeat(0, stages)],
        [.. Enumerable.Range(1, stages - 1).Select(point => Enumerable.Range(1, stages).Select(dead => dead <= point ? 0 : 1).ToImmutableArray())]);
}
