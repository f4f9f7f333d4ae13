using SkiaSharp;
using TestRig.Bench.Reporting;
using TestRig.Core.Judging;

namespace TestRig.Bench.Plotting;

/// <summary>Draws the map of a board as a PNG.</summary>
/// <param name="font">Labels everything; see <see cref="PlotFont.Find"/>.</param>
public sealed class BoardMapPlot(PlotFont font)
{
    public const int DefaultWidth = 1600;

    internal const int HeaderHeight = 96;
    internal const int RowHeight = 74;
    private const int LegendHeight = 40;
    private const int Edge = 16;
    private const int NamesWidth = 190;
    private const int Between = 18;
    private const int WidestPlace = 230;

    public static int HeightOf(BoardMap map) => HeaderHeight + (map.Rows.Length * RowHeight) + LegendHeight;

    /// <summary>Draws and encodes.</summary>
    /// <param name="width">In pixels, at least <see cref="WaveformPlot.NarrowestWidth"/>; the height follows from the number of channels.</param>
    public byte[] ToPng(BoardMap map, int width = DefaultWidth)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(width, WaveformPlot.NarrowestWidth);
        return PictureCanvas.ToPng(width, HeightOf(map), canvas =>
        {
            using var text = new PictureText(font);
            PictureHeader.Draw(canvas, "Which stages work", map.AllGood ? "ALL" : "NOT ALL", map.AllGood, map.Board, map.Simulated, width, text);
            foreach (var verdict in text.Wrap(map.Verdict, width - (2 * Edge), 14, 1))
                text.Draw(canvas, verdict, Edge, 66, 14, PrintSafePalette.Black);
            text.Draw(canvas, map.Origin, Edge, 86, 13, PrintSafePalette.FaintText);
            for (var row = 0; row < map.Rows.Length; row++)
                DrawRow(canvas, map, row, width, text);
            PictureCanvas.DrawLegend(canvas, text, Edge, HeightOf(map) - (LegendHeight / 2f), Legend(canvas));
        });
    }

    /// <summary>Where a place of the map lies in the picture, in pixels.</summary>
    internal static SKRect AreaOf(BoardMap map, int row, int place, int width)
    {
        var most = Math.Max(1, map.Rows.Max(each => each.Places.Length));
        var room = Math.Min(WidestPlace, ((width - (2 * Edge) - NamesWidth) / (float)most) - Between);
        return SKRect.Create(Edge + NamesWidth + (place * (room + Between)), HeaderHeight + (row * RowHeight) + 8, room, RowHeight - 16);
    }

    private static void DrawRow(SKCanvas canvas, BoardMap map, int index, int width, PictureText text)
    {
        var row = map.Rows[index];
        var top = HeaderHeight + (index * RowHeight);
        PictureCanvas.Fill(canvas, new(0, top, width, top + 1), PrintSafePalette.Separator);
        text.Draw(canvas, row.Channel, Edge, top + 32, 16, PrintSafePalette.Black, bold: true);
        text.Draw(canvas, Words.Of(row.Condition).ToUpperInvariant(), Edge, top + 53, 13, PrintSafePalette.Black, bold: row.Condition != Condition.Working);
        if (row.Places.IsEmpty)
        {
            foreach (var words in text.Wrap(row.Summary, width - (2 * Edge) - NamesWidth, 13, 1))
                text.Draw(canvas, words, Edge + NamesWidth, top + 42, 13, PrintSafePalette.FaintText);
            return;
        }
        for (var place = 0; place < row.Places.Length; place++)
        {
            var box = AreaOf(map, index, place, width);
            if (place > 0)
                PictureCanvas.DrawStroke(canvas, new(box.Left - Between, box.Top, box.Left, box.Bottom), PrintSafePalette.Black);
            DrawPlace(canvas, row.Places[place], box, text);
        }
    }

    private static void DrawPlace(SKCanvas canvas, MapPlace place, SKRect box, PictureText text)
    {
        DrawBox(canvas, box, place.Standing);
        var bold = place.Standing is PanelStanding.FirstWrong or PanelStanding.AlsoWrong;
        // On hatching, words need a ground of their own.
        if (place.Standing == PanelStanding.NothingArrives)
            PictureCanvas.Fill(canvas, new(box.Left + 4, box.Top + 4, box.Right - 4, box.Bottom - 4), PrintSafePalette.White);
        var room = box.Width - 12;
        void Line(string words, float down, float size, bool strong, SKColor colour)
        {
            foreach (var line in text.Wrap(words, room, size, 1, bold: strong))
                text.Draw(canvas, line, box.Left + 7, box.Top + down, size, colour, bold: strong);
        }

        Line(place.Point, 17, 14, strong: true, PrintSafePalette.Black);
        Line(place.What, 33, 11.5f, strong: false, PrintSafePalette.FaintText);
        Line(PictureWords.Standing(place.Standing), 49, 12.5f, bold, PrintSafePalette.Black);
    }

    /// <summary>Each standing has a border or a ground of its own, beside its colour.</summary>
    private static void DrawBox(SKCanvas canvas, SKRect box, PanelStanding standing)
    {
        if (standing is PanelStanding.FirstWrong or PanelStanding.AlsoWrong)
            PictureCanvas.Fill(canvas, box, PrintSafePalette.WrongRow);
        if (standing == PanelStanding.NothingArrives)
            PictureCanvas.Hatch(canvas, box, 7);
        using var dashes = standing is PanelStanding.NotJudged or PanelStanding.NoLead ? SKPathEffect.CreateDash([4, 3], 0) : null;
        using var border = new SKPaint
        {
            Color = standing == PanelStanding.FirstWrong ? PrintSafePalette.Vermillion : standing == PanelStanding.AsExpected ? PrintSafePalette.Expected : PrintSafePalette.FaintText,
            IsStroke = true,
            StrokeWidth = standing switch { PanelStanding.FirstWrong => 5, PanelStanding.AsExpected or PanelStanding.AlsoWrong => 2, _ => 1 },
            PathEffect = dashes,
            IsAntialias = true,
        };
        canvas.DrawRect(box, border);
    }

    private static (string Words, Action<SKRect> Draw)[] Legend(SKCanvas canvas) =>
    [
        ("as expected", box => DrawBox(canvas, box, PanelStanding.AsExpected)),
        ("the first that is wrong: look here", box => DrawBox(canvas, box, PanelStanding.FirstWrong)),
        ("wrong too, behind or beside it", box => DrawBox(canvas, box, PanelStanding.AlsoWrong)),
        ("nothing comes to it", box => DrawBox(canvas, box, PanelStanding.NothingArrives)),
        ("not judged, or no lead there", box => DrawBox(canvas, box, PanelStanding.NotJudged)),
    ];
}
