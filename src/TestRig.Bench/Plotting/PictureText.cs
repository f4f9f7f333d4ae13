using System.Text.RegularExpressions;
using SkiaSharp;

namespace TestRig.Bench.Plotting;

/// <summary>Text in one family, regular and bold, measured and placed by the pixel.</summary>
internal sealed partial class PictureText : IDisposable
{
    private readonly SKTypeface _regular;
    private readonly SKTypeface _bold;

    public PictureText(PlotFont font)
    {
        _regular = SKTypeface.FromFamilyName(font.Family, SKFontStyle.Normal);
        _bold = SKTypeface.FromFamilyName(font.Family, SKFontStyle.Bold);
    }

    public void Dispose()
    {
        _regular.Dispose();
        _bold.Dispose();
    }

    public float Width(string text, float size, bool bold = false)
    {
        using var font = Font(size, bold);
        return font.MeasureText(text);
    }

    /// <param name="baseline">The y coordinate that the letters stand on.</param>
    /// <returns>The width of the text.</returns>
    public float Draw(
        SKCanvas canvas, string text, float x, float baseline, float size, SKColor colour, bool bold = false, SKTextAlign align = SKTextAlign.Left)
    {
        using var font = Font(size, bold);
        using var paint = new SKPaint { Color = colour, IsAntialias = true };
        canvas.DrawText(text, x, baseline, align, font, paint);
        return font.MeasureText(text);
    }

    /// <summary>Draws text on a filled box, so that it stays legible on traces and hatching. Returns the box.</summary>
    /// <param name="x">Left edge of the box.</param>
    /// <param name="middle">Vertical middle of the box.</param>
    public SKRect DrawBoxed(
        SKCanvas canvas, string text, float x, float middle, float size, SKColor colour, SKColor fill, SKColor? border = null, bool bold = false)
    {
        var box = Box(text, x, middle, size, bold);
        using var paint = new SKPaint { Color = fill, IsAntialias = true };
        canvas.DrawRoundRect(box, 3, 3, paint);
        if (border is { } edge)
        {
            paint.Color = edge;
            paint.IsStroke = true;
            paint.StrokeWidth = 1.5f;
            canvas.DrawRoundRect(box, 3, 3, paint);
        }
        Draw(canvas, text, x + Padding(size), middle + (size * 0.36f), size, colour, bold);
        return box;
    }

    public SKRect Box(string text, float x, float middle, float size, bool bold = false) => SKRect.Create(
        x, middle - (size * 0.72f), Width(text, size, bold) + (2 * Padding(size)), size * 1.44f);

    private const string NoBreak = "\u00A0";

    [GeneratedRegex(@"(?<=\d) (?=(ps|ns|µs|ms|s|µV|mV|V|%)(?!\w))")]
    private static partial Regex BetweenNumberAndUnit();

    /// <summary>Breaks at spaces, but not between a number and its unit, into at most <paramref name="lines"/> lines; what does not fit ends in an ellipsis.</summary>
    public IReadOnlyList<string> Wrap(string text, float width, float size, int lines, bool bold = false)
    {
        using var font = Font(size, bold);
        var wrapped = new List<string>();
        var line = "";
        foreach (var word in BetweenNumberAndUnit().Replace(text, NoBreak).Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            var longer = line.Length == 0 ? word : $"{line} {word}";
            if (line.Length == 0 || font.MeasureText(longer) <= width)
            {
                line = longer;
                continue;
            }
            wrapped.Add(line);
            line = word;
        }
        if (line.Length > 0)
            wrapped.Add(line);
        if (wrapped.Count > lines)
        {
            wrapped.RemoveRange(lines, wrapped.Count - lines);
            wrapped[^1] += " …";
        }
        for (var i = 0; i < wrapped.Count; i++)
        {
            if (font.MeasureText(wrapped[i]) <= width)
                continue;
            var kept = wrapped[i].TrimEnd('…', ' ');
            while (kept.Length > 1 && font.MeasureText(kept + "…") > width)
                kept = kept[..^1];
            wrapped[i] = kept + "…";
        }
        return wrapped;
    }

    private static float Padding(float size) => size * 0.3f;

    private SKFont Font(float size, bool bold) => new(bold ? _bold : _regular, size) { Subpixel = true, Edging = SKFontEdging.Antialias };
}
