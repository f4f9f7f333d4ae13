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

    [Fact]
    public void A_picture_is_as_large_as_was_asked_for_and_is_refused_where_words_have_no_room()
    {
        var plot = new WaveformPlot(PlotFont.Find());
        var picture = WaveformPicture.Of(DomeChannel.Healthy(), Heading);
        using var drawn = SKBitmap.Decode(plot.ToPng(picture, 1280, 1024));
        Assert.Equal((1280, 1024), (drawn.Width, drawn.Height));
        Assert.Throws<ArgumentOutOfRangeException>(() => plot.ToPng(picture, 1280, WaveformPlot.LeastHeightOf(picture) - 1));
        using var least = SKBitmap.Decode(plot.ToPng(picture, 1280, WaveformPlot.LeastHeightOf(picture)));
        Assert.Equal(WaveformPlot.LeastHeightOf(picture), least.Height);
    }

    /// <summary>The healthy channel's isolator over the dead one's: where that one never falls, a black line does.</summary>
    [Fact]
    public void What_is_laid_over_is_drawn_beside_the_trace()
    {
        const int isolator = 3;
        var dead = WaveformPicture.Of(DomeChannel.DeadIsolator(), Heading);
        using var alone = Decode(dead, WaveformPlot.DefaultWidth);
        var over = dead.Under(DomeChannel.Healthy(), "shutter-close");
        using var both = Decode(over, WaveformPlot.DefaultWidth);
        var row = RowOf(dead, 1, isolator, WaveformPlot.DefaultWidth);
        // The lower level, where the dead channel never is, in the right half of the view.
        var low = row.Top + (int)(WaveformPlot.PanelHeight * (1 - WaveformPlottable.LowAt));
        var place = new SKRectI(row.MidX, low - 2, row.Right - 4, low + 3);
        Assert.Equal(0, Count(alone, place, PrintSafePalette.Black));
        Assert.InRange(Count(both, place, PrintSafePalette.Black), place.Width / 3, place.Width * 3);
        Assert.Contains(over.Panels[isolator].Words, words => words.StartsWith("shutter-close: falls ", StringComparison.Ordinal));
    }

    /// <summary>The second capture began 7 ms earlier: edge still stands on edge.</summary>
    [Fact]
    public void Edges_are_laid_on_edges_whenever_they_came()
    {
        var late = DomeChannel.Healthy();
        var earlier = Duration.FromMilliseconds(-1);
        var capture = late.Capture!;
        var other = late with { Capture = capture with { Signals = [.. capture.Signals.Select(signal => signal.Shifted(earlier))] } };
        var picture = WaveformPicture.Of(late, Heading).Under(other, "the other");
        Assert.All(picture.Views, view => Assert.Equal(Duration.FromMilliseconds(1), view.OverlayShift));
        var (own, over) = (picture.Panels[0].Signal!, picture.Panels[0].Overlay!.Shifted(picture.Views[1].OverlayShift!.Value));
        Assert.Equal(own.Changes.Select(change => change.Estimate), over.Changes.Select(change => change.Estimate));
    }

    [Fact]
    public void A_stretch_of_time_fills_the_picture()
    {
        var picture = WaveformPicture.Of(DomeChannel.Healthy(), Heading).Between(DomeChannel.On - Duration.FromMilliseconds(1), DomeChannel.On + Duration.FromMilliseconds(1));
        var view = Assert.Single(picture.Views);
        Assert.Equal((DomeChannel.On - Duration.FromMilliseconds(1), DomeChannel.On + Duration.FromMilliseconds(1)), (view.From, view.To));
        Assert.Equal("ms since the start", view.AxisLabel);
        using var drawn = Decode(picture, WaveformPlot.DefaultWidth);
        // The command's edge stands in the middle.
        var row = RowOf(picture, 0, 0, WaveformPlot.DefaultWidth);
        var middle = row.Top + (WaveformPlot.PanelHeight / 2);
        Assert.True(Count(drawn, new(row.MidX - 3, middle - 10, row.MidX + 4, middle + 10), PrintSafePalette.Trace) >= 10);
    }

    /// <summary>Bounces of a millisecond in an exercise of half a second: drawn larger, in a box beside them.</summary>
    [Fact]
    public void A_bounce_that_is_small_against_the_axis_is_drawn_larger_beside_it()
    {
        var result = DomeChannel.BouncingHomeSwitch();
        var picture = WaveformPicture.Of(result, Heading);
        var (panel, index) = picture.Panels.Select((each, place) => (each, place)).Single(entry => entry.each.Bounce is not null);
        Assert.Equal("home-switch", panel.Name);
        Assert.Matches(@"^\d+ more transitions in [\d.]+ ms$", panel.Bounce!.Words);
        // Where another view shows it as it is, there is no box.
        var whole = picture with { Views = [picture.Views[0]] };
        using var boxed = Decode(whole, WaveformPlot.DefaultWidth);
        using var without = Decode(whole with { Panels = whole.Panels.Replace(panel, panel with { Bounce = null }) }, WaveformPlot.DefaultWidth);
        var row = RowOf(whole, 0, index, WaveformPlot.DefaultWidth);
        Assert.True(Count(boxed, row, PrintSafePalette.Black) > Count(without, row, PrintSafePalette.Black) + (2 * WaveformPlot.PanelHeight));
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
