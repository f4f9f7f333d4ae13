using ScottPlot;
using ScottPlot.TickGenerators;
using SkiaSharp;

namespace TestRig.Bench.Plotting;

/// <summary>Draws the picture of one channel's night as a PNG: a row a figure, all over the same hours, and at the end of each row what it did in words.</summary>
/// <param name="font">Labels everything; see <see cref="PlotFont.Find"/>.</param>
public sealed class DriftPlot(PlotFont font)
{
    public const int DefaultWidth = 1600;

    internal const int PanelHeight = 118;
    internal const int HeaderHeight = 118;
    private const int AxisHeight = 54;
    private const int LegendHeight = 34;
    private const int Edge = 16;
    private const int NamesWidth = 190;
    private const int TicksWidth = 62;
    private const int WordsWidth = 270;

    /// <summary>A limit farther from the values than so many times what they span would press them into a line: it is told in words alone.</summary>
    private const double FarthestLimit = 2;

    public static int HeightOf(DriftPicture picture) => HeaderHeight + (picture.Panels.Length * PanelHeight) + AxisHeight + LegendHeight;

    /// <summary>Draws and encodes.</summary>
    /// <param name="width">In pixels, at least <see cref="WaveformPlot.NarrowestWidth"/>; the height follows from the number of figures.</param>
    public byte[] ToPng(DriftPicture picture, int width = DefaultWidth)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(width, WaveformPlot.NarrowestWidth);
        return PictureCanvas.ToPng(width, HeightOf(picture), canvas =>
        {
            using var text = new PictureText(font);
            DrawHeader(canvas, picture, width, text);
            var unit = HourUnit.For(picture.Hours);
            for (var index = 0; index < picture.Panels.Length; index++)
            {
                DrawWords(canvas, picture.Panels[index], HeaderHeight + (index * PanelHeight), width, text);
                DrawPanel(canvas, picture, index, width, unit);
            }
            PictureCanvas.DrawLegend(canvas, text, Edge, HeightOf(picture) - (LegendHeight / 2f), Legend(canvas));
        });
    }

    /// <summary>Where a panel's data lie in the picture, in pixels.</summary>
    internal static SKRect AreaOf(int panel, int width) =>
        new(Edge + NamesWidth + TicksWidth, HeaderHeight + (panel * PanelHeight) + 8, width - Edge - WordsWidth - 12, HeaderHeight + ((panel + 1) * PanelHeight) - 8);

    /// <summary>From and to of a panel's axis, in its unit.</summary>
    internal static (double From, double To) LimitsOf(DriftPanel panel)
    {
        var (least, most) = (panel.Ranges.Min(range => range.Least), panel.Ranges.Max(range => range.Most));
        // Values that are all the same get an axis of a tenth of themselves.
        var span = Math.Max(most - least, Math.Max(Math.Abs(most) * 0.02, 1e-9));
        var (from, to) = (least, most);
        if (panel.Highest is { } highest && highest - most <= span * FarthestLimit)
            to = Math.Max(to, highest);
        if (panel.Lowest is { } lowest && least - lowest <= span * FarthestLimit)
            from = Math.Min(from, lowest);
        var margin = Math.Max(to - from, span) * 0.15;
        return (from - margin, to + margin);
    }

    private static void DrawHeader(SKCanvas canvas, DriftPicture picture, int width, PictureText text)
    {
        PictureHeader.Draw(canvas, picture.Channel, picture.Failing.IsEmpty ? "NEVER FAILED" : "FAILED", picture.Failing.IsEmpty, picture.Board, picture.Simulated, width, text);
        var room = width - (2 * Edge);
        foreach (var summary in text.Wrap(picture.Summary, room, 14, 1))
            text.Draw(canvas, summary, Edge, 70, 14, PrintSafePalette.Black);
        text.Draw(canvas, picture.Origin, Edge, 92, 13, PrintSafePalette.FaintText);
    }

    private static void DrawWords(SKCanvas canvas, DriftPanel panel, int top, int width, PictureText text)
    {
        using var separator = new SKPaint { Color = PrintSafePalette.Separator, StrokeWidth = 1 };
        if (panel.Trend is not null)
        {
            using var tint = new SKPaint { Color = PrintSafePalette.WrongRow };
            canvas.DrawRect(0, top, width, PanelHeight, tint);
        }
        canvas.DrawLine(0, top, width, top, separator);
        var name = panel.Name.Split(", ", 2);
        text.Draw(canvas, name[0], Edge, top + 52, 16, PrintSafePalette.Black, bold: true);
        text.Draw(canvas, panel.Unit.Length > 0 ? $"{name[1]}, {panel.Unit}" : name[1], Edge, top + 71, 12.5f, PrintSafePalette.FaintText);
        var baseline = top + 26f;
        for (var line = 0; line < panel.Words.Length; line++, baseline += 18)
            text.Draw(canvas, panel.Words[line], width - Edge - WordsWidth, baseline, 13, PrintSafePalette.Black, bold: panel.Trend is not null && line >= panel.Words.Length - 1);
    }

    private void DrawPanel(SKCanvas canvas, DriftPicture picture, int index, int width, HourUnit unit)
    {
        var (panel, area, isLast) = (picture.Panels[index], AreaOf(index, width), index == picture.Panels.Length - 1);
        using var plot = PictureCanvas.Axes();
        plot.Axes.Left.TickGenerator = new NumericAutomatic { MinimumTickSpacing = 26 };
        plot.Axes.Left.TickLabelStyle.FontName = font.Family;
        plot.Axes.Left.TickLabelStyle.FontSize = 11;
        var bottom = plot.Axes.Bottom;
        bottom.TickLabelStyle.FontName = font.Family;
        bottom.TickLabelStyle.FontSize = 12;
        bottom.TickGenerator = isLast ? new NumericAutomatic { MinimumTickSpacing = 40 } : new EmptyTickGenerator();
        bottom.Label.Text = isLast ? $"{unit.Name} since the start of the run" : "";
        bottom.Label.FontName = font.Family;
        bottom.Label.FontSize = 13;
        bottom.Label.Bold = false;
        var (from, to) = LimitsOf(panel);
        AddFailures(plot, picture, unit, from, to);
        AddTrend(plot, panel, unit);
        AddValues(plot, panel, unit);
        AddLimits(plot, panel);
        plot.Layout.Fixed(new PixelPadding(TicksWidth, 2, AxisHeight, 2));
        // Last, because adding anything puts margins around the limits again.
        plot.Axes.SetLimits(0, Math.Max(unit.Of(picture.Hours), double.Epsilon), from, to);
        plot.Render(canvas, new PixelRect(area.Left - TicksWidth, area.Right + 2, area.Bottom + AxisHeight, area.Top - 2));
    }

    /// <summary>Stretches with a failure, at least as wide as can be seen.</summary>
    private static void AddFailures(Plot plot, DriftPicture picture, HourUnit unit, double from, double to)
    {
        var least = unit.Of(picture.Hours) / 400;
        foreach (var (begin, end) in picture.Failing)
        {
            var (left, right) = (unit.Of(begin), unit.Of(end));
            var widen = Math.Max(0, least - (right - left)) / 2;
            var box = plot.Add.Rectangle(left - widen, right + widen, from, from + ((to - from) * 0.1));
            box.FillColor = PictureCanvas.Of(PrintSafePalette.Vermillion);
            box.LineWidth = 0;
        }
    }

    private static void AddTrend(Plot plot, DriftPanel panel, HourUnit unit)
    {
        if (panel.Trend is not { } trend)
            return;
        var times = trend.Line.Select(point => unit.Of(point.Time)).ToArray();
        var band = plot.Add.FillY(times, [.. trend.Lower], [.. trend.Upper]);
        band.FillColor = PictureCanvas.Of(PrintSafePalette.UncertainTint);
        band.LineWidth = 0;
        var line = plot.Add.ScatterLine(times, trend.Line.Select(point => point.Value).ToArray());
        line.LineColor = PictureCanvas.Of(PrintSafePalette.Black);
        line.LineWidth = 1.5f;
        line.LinePattern = LinePattern.Dashed;
    }

    /// <summary>The range of each stretch as a bar, and the means through them.</summary>
    private static void AddValues(Plot plot, DriftPanel panel, HourUnit unit)
    {
        foreach (var range in panel.Ranges)
        {
            var at = unit.Of((range.From + range.To) / 2);
            var bar = plot.Add.Line(at, range.Least, at, range.Most);
            bar.LineColor = PictureCanvas.Of(PrintSafePalette.Blue).WithAlpha(.45);
            bar.LineWidth = 1.5f;
            bar.MarkerSize = range.Least == range.Most ? 2 : 0;
        }
        if (panel.Means.Length < 2)
            return;
        var means = plot.Add.ScatterLine(panel.Means.Select(mean => unit.Of(mean.Time)).ToArray(), panel.Means.Select(mean => mean.Value).ToArray());
        means.LineColor = PictureCanvas.Of(PrintSafePalette.Trace);
        means.LineWidth = 1.5f;
    }

    private static void AddLimits(Plot plot, DriftPanel panel)
    {
        foreach (var limit in new[] { panel.Lowest, panel.Highest }.OfType<double>())
        {
            var line = plot.Add.HorizontalLine(limit, 1.5f, PictureCanvas.Of(PrintSafePalette.Vermillion), LinePattern.DenselyDashed);
            line.EnableAutoscale = false;
        }
    }

    private static (string Words, Action<SKRect> Draw)[] Legend(SKCanvas canvas) =>
    [
        ("mean of several cycles, and within what they lay", box =>
        {
            PictureCanvas.DrawStroke(canvas, box, PrintSafePalette.Trace);
            PictureCanvas.Fill(canvas, SKRect.Create(box.MidX - 0.75f, box.Top, 1.5f, box.Height), PrintSafePalette.Trace);
        }),
        ("limit, where it is near", box => PictureCanvas.DrawStroke(canvas, box, PrintSafePalette.Vermillion, [4, 2])),
        ("drift (Theil and Sen) with its 95 % band", box =>
        {
            PictureCanvas.Fill(canvas, box, PrintSafePalette.UncertainTint);
            PictureCanvas.DrawStroke(canvas, box, PrintSafePalette.Black, [6, 4]);
        }),
        ("the channel failed", box => PictureCanvas.Fill(canvas, SKRect.Create(box.Left + 8, box.MidY, 10, 8), PrintSafePalette.Vermillion)),
    ];

    /// <summary>The unit of the axis of a run.</summary>
    private sealed record HourUnit(string Name, double InHour)
    {
        public static HourUnit For(double hours) => hours switch
        {
            >= 72 => new("days", 1.0 / 24),
            >= 2 => new("hours", 1),
            >= 1.0 / 30 => new("minutes", 60),
            _ => new("seconds", 3600),
        };

        public double Of(double hours) => hours * InHour;
    }
}
