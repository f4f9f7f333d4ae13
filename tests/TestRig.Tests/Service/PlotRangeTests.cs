using TestRig.Core.Quantities;
using TestRig.Service;

namespace TestRig.Tests.Service;

public sealed class PlotRangeTests
{
    private static readonly Duration Length = Duration.FromMilliseconds(100);

    private static readonly PlotRange Whole = new(Duration.Zero, Length, Length, Duration.FromMicroseconds(1));

    [Theory]
    [InlineData(0, "0")]
    [InlineData(4_900_000_000, "4.9ms")]
    [InlineData(62_500, "62.5ns")]
    [InlineData(1, "0.001ns")]
    [InlineData(1_000_000, "1us")]
    [InlineData(12_345_678_901_234, "12.345678901234s")]
    public void A_time_in_an_address_is_exact(long picoseconds, string text) => Assert.Equal(text, PlotRange.Text(new(picoseconds)));

    [Theory]
    [InlineData("0", 0)]
    [InlineData("4.9ms", 4_900_000_000)]
    [InlineData("12.345678901234s", 12_345_678_901_234)]
    [InlineData("0.001ns", 1)]
    public void And_is_read_as_it_was_written(string text, long picoseconds) => Assert.Equal(picoseconds, QueryText.Time("from", text)!.Value.Picoseconds);

    [Fact]
    public void Nearer_is_half_of_it_about_the_same_middle()
    {
        var near = Whole.Nearer!;
        Assert.Equal((Duration.FromMilliseconds(25), Duration.FromMilliseconds(75)), (near.From, near.To));
        Assert.Equal("from=25ms&to=75ms", near.Query);
        Assert.True(near.Farther!.IsWhole);
    }

    [Fact]
    public void It_moves_by_half_of_itself_and_stays_within_the_capture()
    {
        var range = Whole with { From = Duration.FromMilliseconds(10), To = Duration.FromMilliseconds(40) };
        Assert.Equal((Duration.FromMilliseconds(25), Duration.FromMilliseconds(55)), (range.Later!.From, range.Later.To));
        Assert.Equal((Duration.Zero, Duration.FromMilliseconds(30)), (range.Earlier!.From, range.Earlier.To));
        Assert.Null(range.Earlier.Earlier);
        Assert.Null(range.Later.Later!.Later!.Later!.Later);
    }

    [Fact]
    public void It_ends_where_there_is_nothing_more_to_see()
    {
        var range = Whole;
        var steps = 0;
        while (range.Nearer is { } nearer)
        {
            Assert.True(nearer.To - nearer.From < range.To - range.From);
            range = nearer;
            steps++;
        }
        Assert.Equal(Duration.FromMicroseconds(1), range.To - range.From);
        // 100 ms are 100 000 µs: seventeen halvings.
        Assert.Equal(17, steps);
        Assert.Null(Whole.Farther);
        Assert.Null(Whole.Earlier);
        Assert.Null(Whole.Later);
    }
}
