using SkiaSharp;

namespace TestRig.Bench.Plotting;

/// <summary>The first line of every picture: what it is of, how that stands in a word, whose board it is, and whether there was any.</summary>
internal static class PictureHeader
{
    private const int Edge = 16;

    /// <param name="standing">A word in capitals.</param>
    public static void Draw(SKCanvas canvas, string title, string standing, bool good, string board, bool simulated, int width, PictureText text)
    {
        var right = (float)(width - Edge);
        if (simulated)
        {
            const string word = "SIMULATED BOARD";
            right -= text.Box(word, 0, 0, 18, bold: true).Width;
            text.DrawBoxed(canvas, word, right, 32, 18, PrintSafePalette.Black, PrintSafePalette.White, PrintSafePalette.Black, bold: true);
        }
        var x = Edge + text.Draw(canvas, title, Edge, 41, 26, PrintSafePalette.Black, bold: true) + 14;
        x = text.DrawBoxed(
            canvas, standing, x, 32, 20, good ? PrintSafePalette.Black : PrintSafePalette.White, good ? PrintSafePalette.White : PrintSafePalette.Black, PrintSafePalette.Black, bold: true).Right + 16;
        foreach (var line in text.Wrap(board, right - x - 16, 16, 1))
            text.Draw(canvas, line, x, 39, 16, PrintSafePalette.FaintText);
    }
}
