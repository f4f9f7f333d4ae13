using ScottPlot;
using ScottPlot.TickGenerators;
using SkiaSharp;

namespace TestRig.Bench.Plotting;

/// <summary>Draws how often a contact bounced how much as a PNG: a row a figure, a bar for each number or stretch of time, with its limit.</summary>
/// <param name="font">Labels everything; see <see cref="PlotFont.Find"/>.</param>
public sealed class BouncePlot(PlotFont font)
{
    public const int DefaultWidth = 1200;

    internal const int HeaderHeight = 90;
    internal const int PanelHeight = 210;
    private const int Edge = 16;
    private const int TicksWidth = 70;
    private const int WordsWidth = 270;
    private const int AxisHeight = 52;

    public static int HeightOf(BouncePicture picture) => HeaderHeight + (picture.Panels.Length * PanelHeight) + Edge;

    /// <summary>Draws and encodes; as wide as <see cref="DefaultWidth"/>.</summary>
    public byte[] ToPng(BouncePicture picture) => PictureCanvas.ToPng(DefaultWidth, HeightOf(picture), canvas =>
    {
        using var text = new PictureText(font);
        PictureHeader.Draw(canvas, $"{picture.Channel}: {picture.TestPoint}", picture.AllGood ? "WITHIN LIMITS" : "BEYOND A LIMIT", picture.AllGood, picture.Board, picture.Simulated, DefaultWidth, text);
        text.Draw(canvas, picture.Origin, Edge, 70, 13, PrintSafePalette.FaintText);
        for (var index = 0; index < picture.Panels.Length; index++)
        {
            DrawPanel(canvas, picture.Panels[index], index);
            var baseline = HeaderHeight + (index * PanelHeight) + 30f;
            text.Draw(canvas, picture.Panels[index].Name, DefaultWidth - Edge - WordsWidth, baseline, 15, PrintSafePalette.Black, bold: true);
            foreach (var words in picture.Panels[index].Words)
                text.Draw(canvas, words, DefaultWidth - Edge - WordsWidth, baseline += 20, 13, PrintSafePalette.Black, bold: char.IsUpper(words[0]));
        }
    });

    /// <summary>Where a panel's bars lie in the picture, in pixels.</summary>
    internal static SKRect AreaOf(int panel) =>
        new(Edge + TicksWidth, HeaderHeight + (panel * PanelHeight) + 8, DefaultWidth - (2 * Edge) - WordsWidth, HeaderHeight + ((panel + 1) * PanelHeight) - AxisHeight);

    private void DrawPanel(SKCanvas canvas, BouncePanel panel, int index)
    {
        var area = AreaOf(index);
        using var plot = PictureCanvas.Axes();
        foreach (var axis in new IAxis[] { plot.Axes.Left, plot.Axes.Bottom })
        {
            axis.TickLabelStyle.FontName = font.Family;
            axis.TickLabelStyle.FontSize = 12;
        }
        plot.Axes.Left.Label.Text = "cycles";
        plot.Axes.Bottom.Label.Text = panel.Unit.Length > 0 ? $"{panel.Name}, {panel.Unit}" : panel.Name;
        foreach (var label in new[] { plot.Axes.Left.Label, plot.Axes.Bottom.Label })
            (label.FontName, label.FontSize, label.Bold) = (font.Family, 12, false);
        plot.Axes.Bottom.TickGenerator = new NumericAutomatic { MinimumTickSpacing = 40, IntegerTicksOnly = panel.Unit.Length == 0 };
        plot.Axes.Left.TickGenerator = new NumericAutomatic { MinimumTickSpacing = 26, IntegerTicksOnly = true };
        var most = Math.Max(1, panel.Bins.Max(bin => bin.Count));
        // A whole number stands in the middle of its bar.
        var shift = panel.Unit.Length == 0 ? 0.5 : 0;
        foreach (var (from, to, count) in panel.Bins.Where(bin => bin.Count > 0))
        {
            var beyond = from > panel.Limit;
            // A bar of one among millions is still there to be seen.
            var bar = plot.Add.Rectangle(from - shift, to - shift, 0, Math.Max(count, most * 0.04));
            bar.FillColor = beyond ? PictureCanvas.Of(PrintSafePalette.Vermillion) : PictureCanvas.Of(PrintSafePalette.Blue);
            bar.LineColor = Colors.White;
            bar.LineWidth = 1;
        }
        var (first, last) = (panel.Bins[0].From, panel.Bins[^1].To);
        if (panel.Limit is { } limit)
        {
            var line = plot.Add.VerticalLine(limit + shift, 1.5f, PictureCanvas.Of(PrintSafePalette.Vermillion), LinePattern.DenselyDashed);
            line.Text = "limit";
            line.LabelFontName = font.Family;
            line.LabelOppositeAxis = true;
            (first, last) = (Math.Min(first, limit + shift), Math.Max(last, limit + shift));
        }
        plot.Layout.Fixed(new PixelPadding(TicksWidth, 2, AxisHeight, 20));
        var margin = Math.Max((last - first) * 0.04, 1e-9);
        plot.Axes.SetLimits(first - shift - margin, last + margin, 0, most * 1.08);
        plot.Render(canvas, new PixelRect(area.Left - TicksWidth, area.Right + 2, area.Bottom + AxisHeight, area.Top - 20));
    }
}
