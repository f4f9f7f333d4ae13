using ScottPlot;
using ScottPlot.TickGenerators;
using SkiaSharp;

namespace TestRig.Bench.Plotting;

/// <summary>
/// Draws the picture of one channel for a page that says beside it what was found: on a telephone, where <see cref="WaveformPlot"/> has no room for its words. The picture's first view alone, each point with its name
/// and how it stands above its trace.
/// </summary>
/// <param name="font">Labels everything.</param>
public sealed class NarrowWaveformPlot(PlotFont font)
{
    /// <summary>In pixels. Narrower than this the names have no room.</summary>
    public const int NarrowestWidth = 280;

    internal const int NamesHeight = 22;
    internal const int TraceHeight = 64;

    /// <summary>Lower than this, notes in a trace hide it.</summary>
    private const int LowestTrace = 40;

    private const int SimulatedHeight = 26;
    private const int TitleHeight = 24;
    private const int AxisHeight = 44;
    private const int Edge = 8;
    private const int TicksWidth = 34;

    /// <summary>What lies to the left and right of the time axis, in pixels.</summary>
    public static (int Left, int Right) Beside { get; } = (Edge + TicksWidth, Edge);

    /// <summary>In pixels, where no height is given.</summary>
    public static int HeightOf(WaveformPicture picture) => HeightOf(picture, TraceHeight);

    /// <summary>In pixels.</summary>
    public static int LeastHeightOf(WaveformPicture picture) => HeightOf(picture, LowestTrace);

    private static int HeightOf(WaveformPicture picture, int trace) => HeaderHeight(picture) + (picture.Panels.Length * (NamesHeight + trace)) + AxisHeight;

    internal static int HeaderHeight(WaveformPicture picture) => TitleHeight + (picture.Simulated ? SimulatedHeight : 0);

    /// <summary>Draws and encodes.</summary>
    /// <param name="width">In pixels, at least <see cref="NarrowestWidth"/>.</param>
    /// <param name="height">In pixels, at least <see cref="LeastHeightOf"/>; where it is not given it follows from the number of panels.</param>
    /// <param name="density">So many pixels of the file on each of those.</param>
    public byte[] ToPng(WaveformPicture picture, int width, int? height = null, int density = 1)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(width, NarrowestWidth);
        ArgumentOutOfRangeException.ThrowIfLessThan(height ?? int.MaxValue, LeastHeightOf(picture), nameof(height));
        var trace = height is { } given ? (given - HeightOf(picture, 0)) / picture.Panels.Length : TraceHeight;
        return PictureCanvas.ToPng(width, height ?? HeightOf(picture), canvas =>
        {
            using var text = new PictureText(font);
            DrawHeader(canvas, picture, width, text);
            for (var panel = 0; panel < picture.Panels.Length; panel++)
                DrawPanel(canvas, picture, panel, width, trace, text);
        }, density);
    }

    private static void DrawHeader(SKCanvas canvas, WaveformPicture picture, int width, PictureText text)
    {
        if (picture.Simulated)
            text.DrawBoxed(canvas, "SIMULATED BOARD", Edge, 15, 14, PrintSafePalette.Black, PrintSafePalette.White, PrintSafePalette.Black, bold: true);
        foreach (var title in text.Wrap(picture.Views[0].Title + (picture.Overlay is { } over ? $"; dashed: {over}" : ""), width - (2 * Edge), 13, 1, bold: true))
            text.Draw(canvas, title, Edge, HeaderHeight(picture) - 8, 13, PrintSafePalette.Black, bold: true);
    }

    private void DrawPanel(SKCanvas canvas, WaveformPicture picture, int index, int width, int trace, PictureText text)
    {
        var (panel, view) = (picture.Panels[index], picture.Views[0]);
        var top = HeaderHeight(picture) + (index * (NamesHeight + trace));
        if (panel.Standing == PanelStanding.FirstWrong)
            PictureCanvas.Fill(canvas, SKRect.Create(0, top, width, NamesHeight + trace), PrintSafePalette.WrongRow);
        using var separator = new SKPaint { Color = PrintSafePalette.Separator, StrokeWidth = 1 };
        canvas.DrawLine(0, top, width, top, separator);
        var named = text.Draw(canvas, panel.Name, Edge, top + 16, 14, PrintSafePalette.Black, bold: true);
        foreach (var words in text.Wrap(panel.StandingWords, width - (2 * Edge) - named - 10, 12.5f, 1))
            text.Draw(canvas, words, width - Edge, top + 16, 12.5f, PrintSafePalette.Black, bold: panel.Standing is PanelStanding.FirstWrong or PanelStanding.AlsoWrong, SKTextAlign.Right);

        var isLast = index == picture.Panels.Length - 1;
        using var plot = PictureCanvas.Axes();
        var (left, bottom) = (plot.Axes.Left, plot.Axes.Bottom);
        left.TickGenerator = WaveformPlot.LevelTicks(1);
        left.TickLabelStyle.FontName = font.Family;
        left.TickLabelStyle.FontSize = 11;
        bottom.IsVisible = isLast;
        bottom.Label.Text = view.AxisLabel;
        bottom.Label.FontName = font.Family;
        bottom.Label.FontSize = 12;
        bottom.Label.Bold = false;
        bottom.TickLabelStyle.FontName = font.Family;
        bottom.TickLabelStyle.FontSize = 12;
        bottom.TickGenerator = new NumericAutomatic { MinimumTickSpacing = 40 };
        plot.Add.Plottable(new WaveformPlottable(view, [panel], picture.Gaps, [], text));
        plot.Layout.Fixed(new PixelPadding(TicksWidth, Edge, isLast ? AxisHeight : 0, 0));
        // Last, because adding anything puts margins around the limits again.
        plot.Axes.SetLimits(view.ToAxis(view.From), view.ToAxis(view.To), 0, 1);
        plot.Render(canvas, new PixelRect(Edge, width, top + NamesHeight + trace + (isLast ? AxisHeight : 0), top + NamesHeight));
    }
}
