using ScottPlot;
using ScottPlot.TickGenerators;
using SkiaSharp;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>
/// Draws the picture of one channel as a PNG: a row a point in path order, a column a stretch of time, and at the end of each row what was found there
/// in words.
/// </summary>
/// <param name="font">Labels everything; see <see cref="PlotFont.Find"/>.</param>
public sealed class WaveformPlot(PlotFont font)
{
    public const int DefaultWidth = 1600;

    /// <summary>Narrower than this the words have no room.</summary>
    public const int NarrowestWidth = 1200;

    /// <summary>A picture larger than this takes more memory than it is worth.</summary>
    public const int LargestSide = 16_000;

    /// <summary>Of a panel, unless the picture's height is given.</summary>
    internal const int PanelHeight = 92;

    /// <summary>Lower than this a panel's words have no room.</summary>
    internal const int LowestPanel = 60;

    internal const int HeaderHeight = 152;
    private const int AxisHeight = 54;
    private const int LegendHeight = 34;
    private const int Edge = 16;
    private const int NamesWidth = 160;
    private const int WordsWidth = 308;
    private const int TickWordsWidth = 36;
    private const int BetweenViews = 14;

    /// <summary>What lies to the left and right of the time axis of a picture of one view, in pixels.</summary>
    public static (int Left, int Right) Beside { get; } = (Edge + NamesWidth + TickWordsWidth, Edge + WordsWidth + 12);

    /// <summary>In pixels, where no height is given.</summary>
    public static int HeightOf(WaveformPicture picture) => HeightOf(picture, PanelHeight);

    /// <summary>In pixels: lower than this the picture's words have no room.</summary>
    public static int LeastHeightOf(WaveformPicture picture) => HeightOf(picture, LowestPanel);

    private static int HeightOf(WaveformPicture picture, int panel) => HeaderHeight + (picture.Panels.Length * panel) + AxisHeight + LegendHeight;

    /// <summary>Draws and encodes.</summary>
    /// <param name="width">In pixels, at least <see cref="NarrowestWidth"/>.</param>
    /// <param name="height">In pixels, at least <see cref="LeastHeightOf"/>; where it is not given it follows from the number of panels.</param>
    /// <param name="density">So many pixels of the file on each of those.</param>
    public byte[] ToPng(WaveformPicture picture, int width = DefaultWidth, int? height = null, int density = 1)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(width, NarrowestWidth);
        ArgumentOutOfRangeException.ThrowIfLessThan(height ?? int.MaxValue, LeastHeightOf(picture), nameof(height));
        var panel = height is { } given ? (given - HeightOf(picture, 0)) / picture.Panels.Length : PanelHeight;
        return PictureCanvas.ToPng(width, height ?? HeightOf(picture), canvas =>
        {
            using var text = new PictureText(font);
            DrawHeader(canvas, picture, width, text);
            DrawRows(canvas, picture, width, panel, text);
            DrawViews(canvas, picture, width, panel, text);
            PictureCanvas.DrawLegend(canvas, text, Edge, HeightOf(picture, panel) - (LegendHeight / 2f), Legend(canvas, picture));
        }, density);
    }

    /// <summary>Where the panels of a view lie in the picture, in pixels.</summary>
    internal static SKRectI AreaOf(WaveformPicture picture, int view, int width, int panel = PanelHeight)
    {
        var left = Beside.Left;
        var room = width - Beside.Right - left - ((picture.Views.Length - 1) * BetweenViews);
        // The whole exercise holds the level readings and gets the larger share.
        var shares = picture.Views.Length switch { 1 => new[] { 1.0 }, 2 => [0.55, 0.45], _ => [0.4, 0.3, 0.3] };
        var before = shares.Take(view).Sum();
        var x = left + (int)(room * before) + (view * BetweenViews);
        return SKRectI.Create(x, HeaderHeight, (int)(room * shares[view]), picture.Panels.Length * panel);
    }

    private static void DrawHeader(SKCanvas canvas, WaveformPicture picture, int width, PictureText text)
    {
        PictureHeader.Draw(canvas, picture.Channel, picture.Condition.ToUpperInvariant(), picture.Good, picture.Board, picture.Simulated, width, text);
        var room = width - (2 * Edge);
        foreach (var headline in text.Wrap(picture.Headline, room, 17, 1, bold: true))
            text.Draw(canvas, headline, Edge, 70, 17, PrintSafePalette.Black, bold: true);
        if (picture.Summary != picture.Headline)
        {
            foreach (var summary in text.Wrap(picture.Summary, room, 14, 1))
                text.Draw(canvas, summary, Edge, 92, 14, PrintSafePalette.Black);
        }
        text.Draw(canvas, picture.Origin, Edge, 113, 13, PrintSafePalette.FaintText);
    }

    private static void DrawRows(SKCanvas canvas, WaveformPicture picture, int width, int panelHeight, PictureText text)
    {
        using var separator = new SKPaint { Color = PrintSafePalette.Separator, StrokeWidth = 1 };
        using var tint = new SKPaint { Color = PrintSafePalette.WrongRow };
        using var bar = new SKPaint { Color = PrintSafePalette.Vermillion };
        var wordsAt = width - Edge - WordsWidth;
        for (var i = 0; i < picture.Panels.Length; i++)
        {
            var panel = picture.Panels[i];
            var top = HeaderHeight + (i * panelHeight);
            if (panel.Standing == PanelStanding.FirstWrong)
            {
                canvas.DrawRect(0, top, width, panelHeight, tint);
                canvas.DrawRect(0, top, 8, panelHeight, bar);
            }
            canvas.DrawLine(0, top, width, top, separator);
            text.Draw(canvas, panel.Name, Edge, top + (panelHeight / 2f) - 6, 16, PrintSafePalette.Black, bold: true);
            foreach (var what in text.Wrap(panel.What, NamesWidth - 8, 13, 1))
                text.Draw(canvas, what, Edge, top + (panelHeight / 2f) + 14, 13, PrintSafePalette.FaintText);

            var baseline = top + 22f;
            text.Draw(
                canvas,
                panel.StandingWords,
                wordsAt,
                baseline,
                14,
                PrintSafePalette.Black,
                bold: panel.Standing is PanelStanding.FirstWrong or PanelStanding.AlsoWrong);
            var linesLeft = (panelHeight - 30) / 15;
            foreach (var words in panel.Words)
            {
                foreach (var line in text.Wrap(words, WordsWidth, 12.5f, Math.Max(1, linesLeft)))
                {
                    if (linesLeft-- <= 0)
                        break;
                    baseline += 15.5f;
                    text.Draw(canvas, line, wordsAt, baseline, 12.5f, PrintSafePalette.Black);
                }
            }
        }
        var bottom = HeaderHeight + (picture.Panels.Length * panelHeight);
        canvas.DrawLine(0, bottom, width, bottom, separator);
    }

    private void DrawViews(SKCanvas canvas, WaveformPicture picture, int width, int panel, PictureText text)
    {
        for (var i = 0; i < picture.Views.Length; i++)
        {
            var view = picture.Views[i];
            var area = AreaOf(picture, i, width, panel);
            using var plot = PictureCanvas.Axes();
            plot.Axes.Left.FrameLineStyle.Width = 1;
            var bottom = plot.Axes.Bottom;
            bottom.TickLabelStyle.FontName = font.Family;
            bottom.TickLabelStyle.FontSize = 12;
            bottom.Label.Text = view.AxisLabel;
            bottom.Label.FontName = font.Family;
            bottom.Label.FontSize = 13;
            bottom.Label.Bold = false;
            bottom.TickGenerator = new NumericAutomatic { MinimumTickSpacing = 40 };
            plot.Axes.Left.TickGenerator = i == 0 ? LevelTicks(picture) : new EmptyTickGenerator();
            plot.Axes.Left.TickLabelStyle.FontName = font.Family;
            plot.Axes.Left.TickLabelStyle.FontSize = 11;
            var otherViews = i == 0 ? picture.Views.RemoveAt(0) : [];
            plot.Add.Plottable(new WaveformPlottable(view, picture.Panels, picture.Gaps, otherViews, text));
            plot.Layout.Fixed(new PixelPadding(TickWordsWidth, 2, AxisHeight, 2));
            // Last, because adding anything puts margins around the limits again.
            plot.Axes.SetLimits(view.ToAxis(view.From), view.ToAxis(view.To), 0, picture.Panels.Length);
            plot.Render(canvas, new PixelRect(area.Left - TickWordsWidth, area.Right + 2, area.Bottom + AxisHeight, area.Top - 2));

            DrawAboveView(canvas, picture, view, i, area, text);
        }
    }

    /// <summary>The view's title, and above the whole exercise the letters of the other views and the words on each gap.</summary>
    private static void DrawAboveView(SKCanvas canvas, WaveformPicture picture, PictureView view, int index, SKRectI area, PictureText text)
    {
        var x = (float)area.Left;
        if (view.Letter.Length > 0)
            x = text.DrawBoxed(canvas, view.Letter, x, HeaderHeight - 12, 12, PrintSafePalette.White, PrintSafePalette.Black, bold: true).Right + 5;
        foreach (var title in text.Wrap(view.Title, area.Right - x, 13, 1, bold: true))
            text.Draw(canvas, title, x, HeaderHeight - 8, 13, PrintSafePalette.Black, bold: true);
        if (index != 0)
            return;
        var free = float.MinValue;
        foreach (var other in picture.Views.Skip(1).OrderBy(other => other.Origin))
        {
            var width = text.Box(other.Letter, 0, 0, 12, bold: true).Width;
            var at = area.Left + (float)(area.Width * ((other.Origin - view.From).ToSeconds() / (view.To - view.From).ToSeconds()));
            free = 2 + text.DrawBoxed(canvas, other.Letter, Math.Max(at - (width / 2), free), area.Top + 9, 12, PrintSafePalette.White, PrintSafePalette.Black, bold: true).Right;
        }
    }

    private static NumericManual LevelTicks(WaveformPicture picture) => LevelTicks(picture.Panels.Length);

    internal static NumericManual LevelTicks(int panels)
    {
        var ticks = new NumericManual();
        for (var i = 0; i < panels; i++)
        {
            var bottom = panels - 1 - i;
            ticks.AddMajor(bottom + WaveformPlottable.LowAt, Level.Low.Word());
            ticks.AddMajor(bottom + WaveformPlottable.HighAt, Level.High.Word());
        }
        return ticks;
    }

    private static IEnumerable<(string Words, Action<SKRect> Draw)> Legend(SKCanvas canvas, WaveformPicture picture)
    {
        yield return ("expected in this stretch", box => PictureCanvas.Fill(canvas, box, PrintSafePalette.ExpectedTint));
        if (!picture.Gaps.IsEmpty)
            yield return ("not watched meanwhile: " + GapWords(picture), box => PictureCanvas.Hatch(canvas, box, 6));
        yield return ("the change is somewhere in here", box =>
        {
            PictureCanvas.Fill(canvas, box, PrintSafePalette.UncertainTint);
            using var paint = new SKPaint { Color = PrintSafePalette.Trace, StrokeWidth = 2, IsAntialias = true };
            canvas.DrawLine(box.Left, box.Top, box.Right, box.Bottom, paint);
        }
        );
        if (picture.Overlay is { } overlay)
        {
            yield return ($"{overlay}, laid over", box =>
            {
                using var dashed = WaveformPlottable.OverlayStroke();
                canvas.DrawLine(box.Left, box.MidY, box.Right, box.MidY, dashed);
            }
            );
        }
        yield return ("pulses too short to draw to scale", box => PictureCanvas.Fill(canvas, SKRect.Create(box.MidX - 5, box.MidY - 2, 10, 4), PrintSafePalette.Black));
    }

    private static string GapWords(WaveformPicture picture) =>
        string.Join(", ", picture.Gaps.Select(gap => gap.Reason switch
        {
            Core.Captures.GapReason.MeasuringLevels => "reading voltages",
            Core.Captures.GapReason.NoRoomForChanges => "too many changes",
            Core.Captures.GapReason.HostLate => "computer late",
            Core.Captures.GapReason.NotRecorded => "not recorded",
            _ => "too many readings",
        }).Distinct());
}
