using System.Collections.Immutable;
using SkiaSharp;
using TestRig.Bench.Plotting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Simulation;
using TestRig.Bench.Tests.Soaking;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Plotting;

public class BouncePlotTests
{
    private static readonly FigureKey _bounces = new("one", "home-switch", Expectation.Settles, FigureKind.Bounces);

    private static readonly FigureKey _settles = _bounces with { Kind = FigureKind.SettleTime };

    [Fact]
    public void Each_number_of_bounces_has_its_bar_and_what_is_beyond_the_limit_is_counted()
    {
        long[] bounces = [2, 4, 2, 2, 12, 4, 2, 2, 2, 2];
        var picture = Assert.Single(PicturesOf([.. bounces.Select(count => (count, count * 100_000_000L))]));
        Assert.Equal(("one", "home-switch", false), (picture.Channel, picture.TestPoint, picture.AllGood));
        var (numbers, times) = (picture.Panels[0], picture.Panels[1]);
        Assert.Equal([(2.0, 3.0, 7L), (4.0, 5.0, 2L), (12.0, 13.0, 1L)], numbers.Bins.Where(bin => bin.Count > 0));
        Assert.Equal((10.0, 1L), (numbers.Limit, numbers.Beyond));
        Assert.Equal("half at most 2 bounces | 95 % at most 12 bounces | most 12 bounces | permitted: up to 10 bounces | BEYOND IT: 1 cycle", string.Join(" | ", numbers.Words));
        Assert.Equal(("home-switch, settling time", "µs", 5000.0, 0L), (times.Name, times.Unit, times.Limit, times.Beyond));
        Assert.Equal(bounces.Length, times.Bins.Sum(bin => bin.Count));
    }

    /// <summary>One of a hundred thousand is beyond the limit: its bar is there, and stands out.</summary>
    [Fact]
    public void A_bar_of_one_among_many_is_seen()
    {
        var picture = Assert.Single(PicturesOf([.. Enumerable.Range(1, 100_000).Select(cycle => (cycle == 4711 ? 40L : 4L, 400_000_000L))]));
        using var drawn = SKBitmap.Decode(new BouncePlot(PlotFont.Find()).ToPng(picture));
        Assert.Equal((BouncePlot.DefaultWidth, BouncePlot.HeightOf(picture)), (drawn.Width, drawn.Height));
        var area = BouncePlot.AreaOf(0);
        int Count(SKColor colour) => Enumerable.Range((int)area.Left, (int)area.Width).Sum(x => Enumerable.Range((int)area.Bottom - 8, 8).Count(y => drawn.GetPixel(x, y) == colour));
        // Beside the line of the limit, which is 2 pixels wide and dashed.
        Assert.True(Count(PrintSafePalette.Vermillion) > 16, $"{Count(PrintSafePalette.Vermillion)}");
        Assert.True(Count(PrintSafePalette.Blue) > 40);
    }

    [Fact]
    public async Task Contacts_of_relays_and_switches_have_bounces_and_times_with_their_limits()
    {
        var relays = await FiguresAsync("tide-gauge", ExerciseMode.LogicOnly);
        Assert.Contains(relays, figure => figure.Key is { TestPoint: "K1.NO", Expected: Expectation.Rises, Kind: FigureKind.Bounces } && figure is { Highest: 10, Value: > 0 and <= 10 });
        var switches = await FiguresAsync("dome-drive", ExerciseMode.Motion);
        Assert.Contains(switches, figure => figure.Key is { TestPoint: "home-switch", Kind: FigureKind.Bounces } && figure.Highest == 10);
        // 5 ms, in picoseconds.
        Assert.Contains(switches, figure => figure.Key is { TestPoint: "home-switch", Kind: FigureKind.SettleTime } && figure is { Highest: 5_000_000_000, Value: > 0 });
    }

    private static async Task<ImmutableArray<CycleFigure>> FiguresAsync(string profile, ExerciseMode mode)
    {
        var options = new Bench.Exercising.SweepOptions(mode, MotorOffConfirmed: true, NoStopInputAcknowledged: true);
        return CycleRecords.Of(1, await DemoBoards.MeasureAsync(DemoBoards.Load(profile), 1, options), DateTimeOffset.UnixEpoch, TimeSpan.Zero).Figures;
    }

    private static ImmutableArray<BouncePicture> PicturesOf(ImmutableArray<(long Bounces, long Time)> cycles)
    {
        var tally = new SoakTally(Cycles.Started);
        for (var index = 0; index < cycles.Length; index++)
            tally.Add(Cycles.Of(index + 1) with { Figures = [new(_bounces, cycles[index].Bounces, null, 10), new(_settles, cycles[index].Time, null, 5_000_000_000)] });
        var run = new RunHeading("night", RunKind.Soak, "Board", new("p.yaml", "", ImmutableSortedDictionary<string, string>.Empty), ExerciseMode.Motion, Cycles.Started, "{}", "0.1.0");
        var values = new Dictionary<FigureKey, IReadOnlyList<long>> { [_bounces] = [.. cycles.Select(cycle => cycle.Bounces)], [_settles] = [.. cycles.Select(cycle => cycle.Time)] };
        return [.. BouncePicture.OfAll(new(run, SimulatedRun.Dome, FaultyBench.Of(SimulatedRun.Dome, 1, []).Identity, WatchIdle: false, tally, [], 0, 0, 0), values)];
    }
}
