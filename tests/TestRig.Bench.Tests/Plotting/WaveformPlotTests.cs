using System.Collections.Immutable;
using SkiaSharp;
using TestRig.Bench.Plotting;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Plotting;

public class WaveformPlotTests
{
    private static readonly PictureHeading Heading = new("Dome drive interface card", new(2026, 11, 25, 13, 24, 53, TimeSpan.Zero), Simulated: true);

    [Fact]
    public void Every_panel_of_every_view_holds_its_trace()
    {
        var picture = WaveformPicture.Of(DomeChannel.DeadIsolator(), Heading);
        using var drawn = Decode(picture, WaveformPlot.DefaultWidth);
        Assert.Equal((WaveformPlot.DefaultWidth, WaveformPlot.HeightOf(picture)), (drawn.Width, drawn.Height));
        for (var view = 0; view < picture.Views.Length; view++)
        {
            for (var panel = 0; panel < picture.Panels.Length; panel++)
            {
                var colour = picture.Panels[panel].FirstWrong is null ? PrintSafePalette.Trace : PrintSafePalette.WrongTrace;
                var row = RowOf(picture, view, panel, WaveformPlot.DefaultWidth);
                // A trace crosses the view, but for its gaps.
                Assert.InRange(Count(drawn, row, colour), row.Width / 2, row.Width * 8);
            }
        }
    }

    [Fact]
    public void Every_row_is_labelled()
    {
        var picture = WaveformPicture.Of(DomeChannel.Healthy(), Heading);
        using var drawn = Decode(picture, WaveformPlot.DefaultWidth);
        var left = WaveformPlot.AreaOf(picture, 0, WaveformPlot.DefaultWidth).Left;
        for (var panel = 0; panel < picture.Panels.Length; panel++)
        {
            var top = WaveformPlot.HeaderHeight + (panel * WaveformPlot.PanelHeight) + 4;
            Assert.True(Count(drawn, new(10, top, left - 40, top + WaveformPlot.PanelHeight - 8), PrintSafePalette.Black) > 20);
        }
    }

    [Fact]
    public void A_pulse_of_one_tick_in_a_long_exercise_is_seen_and_marked()
    {
        var healthy = DomeChannel.Healthy();
        var still = healthy.Capture!.Find("home-switch")!;
        var at = DomeChannel.Millis(50);
        var pulse = still with
        {
            Changes = [new(at, at, Level.Low), new(at + DomeChannel.Tick, at + DomeChannel.Tick, Level.High)],
        };
        var capture = healthy.Capture with { Signals = healthy.Capture.Signals.Replace(still, pulse) };
        var picture = WaveformPicture.Of(healthy with { Capture = capture }, Heading);
        using var drawn = Decode(picture, WaveformPlot.DefaultWidth);
        using var without = Decode(WaveformPicture.Of(healthy, Heading), WaveformPlot.DefaultWidth);

        var row = RowOf(picture, 0, picture.Panels.Length - 1, WaveformPlot.DefaultWidth);
        var x = row.Left + (row.Width * 50 / 60);
        var around = new SKRectI(x - 6, row.Top, x + 6, row.Bottom);
        // A line from high to low, and the bar above it.
        Assert.True(Count(drawn, around, PrintSafePalette.Trace) > Count(without, around, PrintSafePalette.Trace) + (WaveformPlot.PanelHeight / 3));
        Assert.True(Count(drawn, around, PrintSafePalette.Black) > Count(without, around, PrintSafePalette.Black) + 10);
    }

    [Fact]
    public void A_gap_interrupts_the_traces()
    {
        var healthy = DomeChannel.Healthy();
        var picture = WaveformPicture.Of(healthy, Heading);
        using var drawn = Decode(picture, WaveformPlot.DefaultWidth);
        var row = RowOf(picture, 0, 0, WaveformPlot.DefaultWidth);
        // 10 to 22 ms of 60 ms.
        var gap = new SKRectI(row.Left + (row.Width * 11 / 60), row.Top, row.Left + (row.Width * 21 / 60), row.Bottom);
        Assert.Equal(0, Count(drawn, gap, PrintSafePalette.Trace));
    }

    [Fact]
    public void A_crowded_capture_is_drawn_as_a_band_and_not_edge_by_edge()
    {
        var healthy = DomeChannel.Healthy();
        var still = healthy.Capture!.Find("home-switch")!;
        var changes = ImmutableArray.CreateBuilder<Change>(100_000);
        for (var i = 0; i < 100_000; i++)
        {
            var at = new Instant(600_000L * i);
            changes.Add(new(at, at, i % 2 == 0 ? Level.Low : Level.High));
        }
        var capture = healthy.Capture with
        {
            Signals = healthy.Capture.Signals.Replace(still, still with { Changes = changes.ToImmutable() }),
            End = new(600_000L * 100_000),
            Gaps = [],
        };
        var picture = WaveformPicture.Of(healthy with { Capture = capture }, Heading);
        using var drawn = Decode(picture, WaveformPlot.DefaultWidth);
        var row = RowOf(picture, 0, picture.Panels.Length - 1, WaveformPlot.DefaultWidth);
        // The band between the levels is filled: half a panel's height over the whole width.
        Assert.True(Count(drawn, row, PrintSafePalette.Trace) > row.Width * WaveformPlot.PanelHeight * 0.4);
    }

    [Fact]
    public void A_picture_without_room_for_its_words_is_refused()
    {
        var plot = new WaveformPlot(PlotFont.Find());
        var picture = WaveformPicture.Of(DomeChannel.Healthy(), Heading);
        Assert.Throws<ArgumentOutOfRangeException>(() => plot.ToPng(picture, WaveformPlot.NarrowestWidth - 1));
        Assert.NotEmpty(plot.ToPng(picture, WaveformPlot.NarrowestWidth));
    }

    private static SKBitmap Decode(WaveformPicture picture, int width) =>
        SKBitmap.Decode(new WaveformPlot(PlotFont.Find()).ToPng(picture, width));

    private static SKRectI RowOf(WaveformPicture picture, int view, int panel, int width)
    {
        var area = WaveformPlot.AreaOf(picture, view, width);
        return SKRectI.Create(area.Left, area.Top + (panel * WaveformPlot.PanelHeight), area.Width, WaveformPlot.PanelHeight);
    }

    /// <summary>Pixels near a colour: edges of lines are blended with what lies behind.</summary>
    private static int Count(SKBitmap bitmap, SKRectI area, SKColor colour)
    {
        const int near = 60;
        var count = 0;
        for (var y = area.Top; y < area.Bottom; y++)
        {
            for (var x = area.Left; x < area.Right; x++)
            {
                var pixel = bitmap.GetPixel(x, y);
                if (Math.Abs(pixel.Red - colour.Red) + Math.Abs(pixel.Green - colour.Green) + Math.Abs(pixel.Blue - colour.Blue) < near)
                    count++;
            }
        }
        return count;
    }
}
