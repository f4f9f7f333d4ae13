using ScottPlot;
using SkiaSharp;

namespace TestRig.Bench.Plotting;

/// <summary>What every picture is drawn on, and what stands below it.</summary>
internal static class PictureCanvas
{
    /// <summary>A white sheet, drawn on and encoded as PNG.</summary>
    /// <param name="width">In pixels.</param>
    /// <param name="height">In pixels.</param>
    /// <param name="density">So many pixels of the file on each of those: for screens that are as fine.</param>
    public static byte[] ToPng(int width, int height, Action<SKCanvas> draw, int density = 1)
    {
        using var surface = SKSurface.Create(new SKImageInfo(checked(width * density), checked(height * density)));
        surface.Canvas.Clear(PrintSafePalette.White);
        surface.Canvas.Scale(density);
        draw(surface.Canvas);
        using var image = surface.Snapshot();
        using var png = image.Encode(SKEncodedImageFormat.Png, quality: 100);
        return png.ToArray();
    }

    /// <summary>Samples of what is drawn, side by side, each with its meaning in words.</summary>
    /// <param name="left">Where the first one begins.</param>
    /// <param name="middle">Their height in the picture.</param>
    /// <param name="entries">Words, and what draws the sample into a box.</param>
    public static void DrawLegend(SKCanvas canvas, PictureText text, float left, float middle, IEnumerable<(string Words, Action<SKRect> Draw)> entries)
    {
        var x = left;
        foreach (var (words, draw) in entries)
        {
            draw(SKRect.Create(x, middle - 8, 26, 16));
            x += 32;
            x += text.Draw(canvas, words, x, middle + 4.5f, 12.5f, PrintSafePalette.Black) + 26;
        }
    }

    /// <summary>Axes to the left and below, to be drawn onto a canvas that has something on it already.</summary>
    public static Plot Axes()
    {
        var plot = new Plot();
        plot.RenderManager.ClearCanvasBeforeEachRender = false;
        plot.FigureBackground.Color = Colors.Transparent;
        plot.DataBackground.Color = Colors.Transparent;
        plot.HideGrid();
        plot.Axes.Right.IsVisible = false;
        plot.Axes.Top.IsVisible = false;
        return plot;
    }

    /// <summary>The same colour as the plotting library has it.</summary>
    public static Color Of(SKColor colour) => new(colour.Red, colour.Green, colour.Blue);

    /// <summary>A level stroke through the middle of a box.</summary>
    /// <param name="dashes">On and off in pixels; null for a whole line.</param>
    public static void DrawStroke(SKCanvas canvas, SKRect box, SKColor colour, float[]? dashes = null)
    {
        using var effect = dashes is null ? null : SKPathEffect.CreateDash(dashes, 0);
        using var stroke = new SKPaint { Color = colour, StrokeWidth = 1.5f, IsStroke = true, PathEffect = effect, IsAntialias = true };
        canvas.DrawLine(box.Left, box.MidY, box.Right, box.MidY, stroke);
    }

    public static void Fill(SKCanvas canvas, SKRect box, SKColor colour)
    {
        using var paint = new SKPaint { Color = colour, IsAntialias = true };
        canvas.DrawRect(box, paint);
    }

    /// <summary>Slanted lines: nobody looked, or nothing came.</summary>
    public static void Hatch(SKCanvas canvas, SKRect box, float between)
    {
        using var paint = new SKPaint { Color = PrintSafePalette.Hatching, StrokeWidth = 1, IsStroke = true, IsAntialias = true };
        canvas.Save();
        canvas.ClipRect(box);
        for (var x = box.Left - box.Height; x < box.Right; x += between)
            canvas.DrawLine(x, box.Bottom, x + box.Height, box.Top, paint);
        canvas.Restore();
    }
}
