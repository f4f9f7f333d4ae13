using System.Collections.Immutable;
using SkiaSharp;
using TestRig.Bench.Plotting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Simulation;
using TestRig.Bench.Tests.Soaking;
using TestRig.Core.Judging;

namespace TestRig.Bench.Tests.Plotting;

public class DriftPlotTests
{
    /// <summary>From 5 µs on by 2 µs an hour, 100 cycles to the hour, of at most 25 µs.</summary>
    [Fact]
    public void A_figure_that_drifts_is_told_with_its_line_through_the_run_and_its_limit()
    {
        var picture = Assert.Single(PicturesOf(Enumerable.Range(1, 900).Select(number => Cycles.Of(number, delay: 5_000_000 + (number * 20_000L)))));
        var panel = Assert.Single(picture.Panels);
        Assert.Equal(("OK1.5, delay of its fall", "µs", 25.0), (panel.Name, panel.Unit, panel.Highest));
        Assert.Equal("5.02 µs to 23 µs | permitted: up to 25 µs | DRIFTS +2 µs an hour | at its limit in 60 min", string.Join(" | ", panel.Words));
        Assert.Equal([5.0, 14.0, 23.0], panel.Trend!.Line.Select(point => Math.Round(point.Value, 1)));
        Assert.All(panel.Trend.Line.Select((point, index) => (point.Value, Lower: panel.Trend.Lower[index], Upper: panel.Trend.Upper[index])), at => Assert.True(at.Lower <= at.Value && at.Value <= at.Upper));
        Assert.Equal(9, picture.Hours, 6);
        // The limit is near: it is within the axis.
        var (from, to) = DriftPlot.LimitsOf(panel);
        Assert.True(from < 5.02 && to > 25);
    }

    [Fact]
    public void A_limit_that_is_far_off_is_told_in_words_and_does_not_flatten_the_values()
    {
        var noise = new Random(2);
        var panel = Assert.Single(Assert.Single(PicturesOf(Enumerable.Range(1, 300).Select(number => Cycles.Of(number, delay: 5_000_000 + noise.Next(100_000))))).Panels);
        Assert.Null(panel.Trend);
        Assert.Contains("no drift seen", panel.Words);
        var (from, to) = DriftPlot.LimitsOf(panel);
        Assert.True(from > 4.9 && to < 5.3, $"{from} to {to}");
    }

    /// <summary>One wild value among a hundred thousand, and one failure: both can be seen in the picture of the whole run.</summary>
    [Fact]
    public void What_happened_once_is_seen()
    {
        const int wild = 61_803, failed = 30_000, cycles = 100_000;
        var picture = Assert.Single(PicturesOf(Enumerable.Range(1, cycles).Select(number => Cycles.Of(number, number == failed ? Condition.Dead : Condition.Working, delay: number == wild ? 24_000_000 : 5_000_000))));
        using var drawn = SKBitmap.Decode(new DriftPlot(PlotFont.Find()).ToPng(picture));
        Assert.Equal((DriftPlot.DefaultWidth, DriftPlot.HeightOf(picture)), (drawn.Width, drawn.Height));
        var area = DriftPlot.AreaOf(0, DriftPlot.DefaultWidth);
        int X(int cycle) => (int)(area.Left + (area.Width * cycle / cycles));
        int Coloured(int cycle, int top, int bottom, Func<SKColor, bool> wanted) => Enumerable.Range(X(cycle) - 4, 9).SelectMany(x => Enumerable.Range(top, bottom - top).Select(y => drawn.GetPixel(x, y))).Count(wanted);
        bool IsBlue(SKColor colour) => colour.Blue > colour.Red + 60;
        bool IsVermillion(SKColor colour) => colour.Red > colour.Blue + 100;
        var (top, middle, bottom) = ((int)area.Top, (int)area.MidY, (int)area.Bottom);
        Assert.True(Coloured(wild, top, middle, IsBlue) > 20);
        Assert.Equal(0, Coloured(failed, top, middle, IsBlue));
        Assert.True(Coloured(failed, middle, bottom, IsVermillion) > 5);
        Assert.Equal(0, Coloured(wild, middle, bottom, IsVermillion));
    }

    [Fact]
    public void Of_a_channel_without_figures_there_is_no_picture() => Assert.Empty(PicturesOf([Cycles.Of(1), Cycles.Of(2)]));

    private static ImmutableArray<DriftPicture> PicturesOf(IEnumerable<CycleRecord> cycles)
    {
        var tally = new SoakTally(Cycles.Started);
        foreach (var cycle in cycles)
            tally.Add(cycle);
        var run = new RunHeading("night", RunKind.Soak, "Board", new("p.yaml", "", ImmutableSortedDictionary<string, string>.Empty), Core.Scheduling.ExerciseMode.LogicOnly, Cycles.Started, "{}", "0.1.0");
        var adapter = FaultyBench.Of(SimulatedRun.Dome, 1, []);
        return [.. DriftPicture.OfAll(new(run, SimulatedRun.Dome, adapter.Identity, WatchIdle: false, tally, [], 0, 0, 0))];
    }
}
