using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class BlockMeansTests
{
    private static readonly Arbitrary<(int Most, int Number)> _sizes =
        (from half in Gen.Choose(1, 16) from number in Gen.Choose(0, 3000) select (2 * half, number)).ToArbitrary();

    [Property(MaxTest = 200)]
    public Property Blocks_are_few_and_all_but_the_last_values_are_in_them() => Prop.ForAll(_sizes, size =>
    {
        var means = Of(size, _ => 0);
        var left = means.Count - ((long)means.Blocks.Count * means.BlockLength);
        return means.Count == size.Number && means.Blocks.Count < size.Most && left >= 0 && left < means.BlockLength
            && (size.Number < size.Most || means.Blocks.Count >= size.Most / 2);
    });

    [Property(MaxTest = 200)]
    public Property Each_block_is_the_mean_of_its_own_values_in_the_order_of_time() => Prop.ForAll(_sizes, ArbMap.Default.ArbFor<int>(), (size, seed) =>
    {
        var random = new System.Random(seed);
        var values = Enumerable.Range(0, size.Number).Select(_ => random.NextDouble()).ToArray();
        var means = Of(size, index => values[index]);
        return values.Chunk(means.BlockLength).Zip(means.Blocks).All(pair => Math.Abs(pair.First.Average() - pair.Second.Value) < 1e-12)
            && means.Blocks.Zip(means.Blocks.Skip(1)).All(pair => pair.First.Time < pair.Second.Time);
    });

    /// <summary>The last values, too, while they are fewer than a block: nothing that happened once is hidden.</summary>
    [Property(MaxTest = 200)]
    public Property Each_range_holds_just_its_own_values_and_every_value_is_in_one() => Prop.ForAll(_sizes, ArbMap.Default.ArbFor<int>(), (size, seed) =>
    {
        var random = new System.Random(seed);
        var values = Enumerable.Range(0, size.Number).Select(index => (Time: Time(index), Value: random.NextDouble())).ToArray();
        var means = Of(size, index => values[index].Value);
        return means.Ranges.SequenceEqual(values.Chunk(means.BlockLength).Select(chunk => new ValueRange(chunk[0].Time, chunk[^1].Time, chunk.Min(each => each.Value), chunk.Max(each => each.Value))));
    });

    [Property(MaxTest = 200)]
    public Property A_constant_series_stays_constant() => Prop.ForAll(_sizes, ArbMap.Default.ArbFor<NormalFloat>(), (size, value) =>
        Of(size, _ => value.Get).Blocks.All(block => block.Value == value.Get));

    [Property(MaxTest = 200)]
    public Property A_linear_series_stays_on_its_line() => Prop.ForAll(_sizes, ArbMap.Default.ArbFor<short>(), ArbMap.Default.ArbFor<short>(), (size, start, slope) =>
        Of(size, index => start + (slope * Time(index))).Blocks.All(block => Math.Abs(block.Value - start - (slope * block.Time)) < 1e-5));

    [Fact]
    public void Four_blocks_become_two_of_two()
    {
        var means = new BlockMeans(4);
        foreach (var (time, value) in new[] { (0.0, 1.0), (1, 2), (2, 5), (4, 8), (6, 100) })
            means.Add(new(time, value));
        Assert.Equal([new(0.5, 1.5), new(3, 6.5)], means.Blocks);
        Assert.Equal((2, 5), (means.BlockLength, means.Count));
        means.Add(new(7, 200));
        Assert.Equal(new(6.5, 150), means.Blocks[^1]);
    }

    [Fact]
    public void What_makes_no_sense_is_refused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => new BlockMeans(0));
        Assert.Throws<ArgumentOutOfRangeException>(() => new BlockMeans(7));
        var means = new BlockMeans(4);
        means.Add(new(1, 5));
        Assert.Throws<ArgumentException>(() => means.Add(new(1, 6)));
    }

    /// <summary>Unevenly spaced, as the cycles of a soak are.</summary>
    private static double Time(int index) => index + (0.4 * Math.Sin(index));

    private static BlockMeans Of((int Most, int Number) size, Func<int, double> value)
    {
        var means = new BlockMeans(size.Most);
        for (var index = 0; index < size.Number; index++)
            means.Add(new(Time(index), value(index)));
        return means;
    }
}
