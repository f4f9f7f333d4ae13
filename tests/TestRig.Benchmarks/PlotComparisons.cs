using System.Collections.Immutable;
using ScottPlot;
using TestRig.Bench.Plotting;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Benchmarks;

/// <summary>A picture of twelve signals, drawn and encoded.</summary>
internal static class PlotComparisons
{
    private const int Signals = 12;

    public static IEnumerable<Comparison> All =>
    [
        new("plot of 10^7 edges on 12 signals, time as a multiple of an empty plot of the same size", RatioKind.TimesYardstick, 2, () =>
        {
            var (plot, picture) = (new WaveformPlot(PlotFont.Find()), Picture(10_000_000));
            var height = WaveformPlot.HeightOf(picture);
            return new(() => Check(plot.ToPng(picture)), () =>
            {
                using var empty = new Plot();
                Check(empty.GetImageBytes(WaveformPlot.DefaultWidth, height, ImageFormat.Png));
            });
        }),
        new("plot of 10^7 edges on 12 signals, time as a multiple of 10^4 edges", RatioKind.TimesYardstick, 1.5, () =>
        {
            var (plot, many, few) = (new WaveformPlot(PlotFont.Find()), Picture(10_000_000), Picture(10_000));
            return new(() => Check(plot.ToPng(many)), () => Check(plot.ToPng(few)));
        }),
    ];

    private static void Check(byte[] png)
    {
        if (png.Length < 1_000)
            throw new InvalidOperationException($"a picture of {png.Length} bytes");
    }

    private static WaveformPicture Picture(int edges)
    {
        var end = Instant.Start + Duration.FromMilliseconds(10_000);
        var panels = ImmutableArray.CreateBuilder<Panel>();
        for (var i = 0; i < Signals; i++)
            panels.Add(new($"T{i}", "test point", Signal(i, edges / Signals, end), PanelStanding.AsExpected, "as expected", [], [], [], [], null));
        PictureView View(string letter, long fromMs, long toMs) => new(
            letter, "view", At(fromMs), At(toMs), At(fromMs), TimeUnit.Milliseconds, "ms");
        return new(
            "benchmark", "benchmark", "working", true, "", "", "", false, [View("", 0, 10_000), View("a", 100, 200), View("b", 5_000, 5_001)], panels.ToImmutable(), []);
    }

    private static Signal Signal(int seed, int edges, Instant end)
    {
        var random = new Random(seed);
        var changes = ImmutableArray.CreateBuilder<Change>(edges);
        var mean = end.Picoseconds / edges;
        for (var i = 0; i < edges; i++)
        {
            var at = new Instant((mean * i) + random.NextInt64(mean));
            changes.Add(new(at, at, i % 2 == 0 ? Level.High : Level.Low));
        }
        return new($"T{seed}", Level.Low, changes.MoveToImmutable());
    }

    private static Instant At(long milliseconds) => Instant.Start + Duration.FromMilliseconds(milliseconds);
}
