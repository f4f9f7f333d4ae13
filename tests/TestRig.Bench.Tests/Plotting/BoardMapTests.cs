using SkiaSharp;
using TestRig.Bench.Plotting;
using TestRig.Bench.Tests.Reporting;
using TestRig.Bench.Tests.Simulation;

namespace TestRig.Bench.Tests.Plotting;

public class BoardMapTests
{
    [Fact]
    public async Task Each_channel_is_a_row_from_its_command_to_what_moves_and_the_first_wrong_stage_is_told()
    {
        var map = BoardMap.Of(await SweptAsync("OK3=dead"));
        Assert.Equal(["rotate-left", "rotate-right", "shutter-open", "shutter-close", "flap-raise", "flap-lower"], map.Rows.Select(row => row.Channel));
        Assert.False(map.AllGood);
        var dead = map.Rows[2].Places;
        Assert.Equal(
            [("J1.6", PanelStanding.AsExpected), ("U3.14", PanelStanding.AsExpected), ("U4.14", PanelStanding.AsExpected), ("OK3.5", PanelStanding.FirstWrong), ("Q3.C", PanelStanding.NothingArrives), ("shutter-encoder", PanelStanding.NotJudged)],
            dead.Select(place => (place.Point, place.Standing)));
        Assert.Equal("OK3 4N25", dead[3].What);
        Assert.All(map.Rows.Where((_, row) => row != 2).SelectMany(row => row.Places), place => Assert.NotEqual(PanelStanding.FirstWrong, place.Standing));
        var words = PictureDescription.Of(map);
        Assert.Contains("shutter-open, dead: J1.6 as expected; U3.14 as expected; U4.14 as expected; OK3.5 FIRST WRONG; Q3.C no change arrives", words, StringComparison.Ordinal);
        Assert.True(BoardMap.Of(await SweptAsync()).AllGood);
    }

    [Fact]
    public async Task The_first_wrong_stage_alone_has_the_thick_border()
    {
        var map = BoardMap.Of(await SweptAsync("OK3=dead"));
        using var drawn = SKBitmap.Decode(new BoardMapPlot(PlotFont.Find()).ToPng(map));
        Assert.Equal((BoardMapPlot.DefaultWidth, BoardMapPlot.HeightOf(map)), (drawn.Width, drawn.Height));
        for (var row = 0; row < map.Rows.Length; row++)
        {
            for (var place = 0; place < map.Rows[row].Places.Length; place++)
            {
                var area = BoardMapPlot.AreaOf(map, row, place, BoardMapPlot.DefaultWidth);
                var edge = Enumerable.Range((int)area.Top + 8, (int)area.Height - 16).Count(y => drawn.GetPixel((int)area.Left, y) == PrintSafePalette.Vermillion);
                Assert.Equal(map.Rows[row].Places[place].Standing == PanelStanding.FirstWrong ? (int)area.Height - 16 : 0, edge);
            }
        }
    }

    [Fact]
    public void A_channel_that_was_not_exercised_has_no_places_but_the_reason()
    {
        var map = BoardMap.Of(SomeSweep.Result());
        var untested = map.Rows.Single(row => row.Channel == "rotate-left");
        Assert.Empty(untested.Places);
        Assert.Contains("which forbids rotate-left", untested.Summary, StringComparison.Ordinal);
        Assert.NotEmpty(new BoardMapPlot(PlotFont.Find()).ToPng(map));
    }

    private static Task<Bench.Exercising.SweepResult> SweptAsync(params string[] faults) => SimulatedRun.SweepAsync(1, Core.Scheduling.ExerciseMode.LogicOnly, faults);
}
