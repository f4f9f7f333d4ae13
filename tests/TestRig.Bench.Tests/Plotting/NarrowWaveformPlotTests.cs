using SkiaSharp;
using TestRig.Bench.Plotting;

namespace TestRig.Bench.Tests.Plotting;

public class NarrowWaveformPlotTests
{
    private const int Telephone = 328;

    private static readonly PictureHeading Heading = new("Dome drive interface card", new(2026, 11, 25, 13, 24, 53, TimeSpan.Zero), Simulated: true);

    private static readonly NarrowWaveformPlot Plot = new(PlotFont.Find());

    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    public void Every_point_has_its_name_and_its_trace_on_any_screen(int density)
    {
        var picture = WaveformPicture.Of(DomeChannel.DeadIsolator(), Heading);
        using var drawn = SKBitmap.Decode(Plot.ToPng(picture, Telephone, density: density));
        Assert.Equal((Telephone * density, NarrowWaveformPlot.HeightOf(picture) * density), (drawn.Width, drawn.Height));
        for (var panel = 0; panel < picture.Panels.Length; panel++)
        {
            var top = NarrowWaveformPlot.HeaderHeight(picture) + (panel * (NarrowWaveformPlot.NamesHeight + NarrowWaveformPlot.TraceHeight));
            Assert.True(Count(drawn, new(4, top + 2, 100, top + NarrowWaveformPlot.NamesHeight - 1), density, PrintSafePalette.Black) > 20);
            var colour = picture.Panels[panel].FirstWrong is null ? PrintSafePalette.Trace : PrintSafePalette.WrongTrace;
            var traces = new SKRectI(44, top + NarrowWaveformPlot.NamesHeight, Telephone - 10, top + NarrowWaveformPlot.NamesHeight + NarrowWaveformPlot.TraceHeight);
            // A trace crosses the view, but for its gaps.
            Assert.True(Count(drawn, traces, density, colour) > traces.Width / 2 * density);
        }
    }

    [Fact]
    public void It_says_that_no_board_was_there()
    {
        var picture = WaveformPicture.Of(DomeChannel.Healthy(), Heading);
        var real = WaveformPicture.Of(DomeChannel.Healthy(), Heading with { Simulated = false });
        Assert.True(NarrowWaveformPlot.HeightOf(picture) > NarrowWaveformPlot.HeightOf(real));
        using var drawn = SKBitmap.Decode(Plot.ToPng(picture, Telephone));
        Assert.True(Count(drawn, new(0, 0, Telephone, NarrowWaveformPlot.HeightOf(picture) - NarrowWaveformPlot.HeightOf(real)), 1, PrintSafePalette.Black) > 200);
    }

    [Fact]
    public void A_stretch_of_time_is_drawn_alone()
    {
        var picture = WaveformPicture.Of(DomeChannel.Healthy(), Heading);
        var stretch = picture.Between(DomeChannel.Millis(1), DomeChannel.Millis(2));
        Assert.NotEqual(Plot.ToPng(picture, Telephone), Plot.ToPng(stretch, Telephone));
    }

    [Fact]
    public void A_picture_without_room_is_refused()
    {
        var picture = WaveformPicture.Of(DomeChannel.Healthy(), Heading);
        Assert.Throws<ArgumentOutOfRangeException>(() => Plot.ToPng(picture, NarrowWaveformPlot.NarrowestWidth - 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => Plot.ToPng(picture, Telephone, NarrowWaveformPlot.LeastHeightOf(picture) - 1));
        using var least = SKBitmap.Decode(Plot.ToPng(picture, NarrowWaveformPlot.NarrowestWidth, NarrowWaveformPlot.LeastHeightOf(picture)));
        Assert.Equal((NarrowWaveformPlot.NarrowestWidth, NarrowWaveformPlot.LeastHeightOf(picture)), (least.Width, least.Height));
    }

    /// <param name="place">In pixels of the picture at a density of 1.</param>
    private static int Count(SKBitmap drawn, SKRectI place, int density, SKColor colour)
    {
        var count = 0;
        for (var y = place.Top * density; y < place.Bottom * density; y++)
        {
            for (var x = place.Left * density; x < place.Right * density; x++)
                count += drawn.GetPixel(x, y) == colour ? 1 : 0;
        }
        return count;
    }
}
