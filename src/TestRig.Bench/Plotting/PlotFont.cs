using System.Buffers.Binary;
using SkiaSharp;

namespace TestRig.Bench.Plotting;

/// <summary>
/// The sans-serif that labels every picture. Looked for once at start-up, because a drawing library without fonts leaves every label out and reports
/// nothing.
/// </summary>
public sealed class PlotFont
{
    /// <summary>Families that are common on Debian, Fedora, Windows and macOS, in order of preference.</summary>
    private static readonly string[] Preferred =
        ["DejaVu Sans", "Noto Sans", "Liberation Sans", "Open Sans", "Roboto", "Segoe UI", "Arial", "Helvetica Neue", "Helvetica"];

    /// <summary>Characters that the labels use beyond plain letters.</summary>
    private const string Needed = "Ag09µ±–";

    private PlotFont(string family) => Family = family;

    public string Family { get; }

    /// <exception cref="PlotFontException">No usable sans-serif is installed.</exception>
    public static PlotFont Find()
    {
        var fonts = SKFontManager.Default;
        return new(Choose([.. fonts.FontFamilies], family =>
        {
            using var typeface = fonts.MatchFamily(family);
            return typeface is not null && DrawsLabels(typeface) && (Preferred.Contains(family) || IsSansSerif(typeface));
        }));
    }

    /// <param name="installed">Names of the installed families.</param>
    /// <param name="usable">Whether a family is a sans-serif that draws what the labels need.</param>
    internal static string Choose(IReadOnlyCollection<string> installed, Func<string, bool> usable)
    {
        var candidates = Preferred.Where(installed.Contains).Concat(installed.Except(Preferred).Order(StringComparer.Ordinal));
        return candidates.FirstOrDefault(usable) ?? throw new PlotFontException(
            $"No sans-serif font is installed ({installed.Count} font families found, none usable), so the pictures would have no labels. "
            + "Install one (Debian: apt-get install fonts-dejavu-core) and start again.");
    }

    private static bool DrawsLabels(SKTypeface typeface) => typeface.GetGlyphs(Needed).All(glyph => glyph != 0);

    /// <summary>
    /// By the font's PANOSE numbers (OpenType specification, OS/2 table, panose at offset 32): family kind 2 is Latin text, serif styles 11 to 15 are
    /// without serifs. Values from memory.
    /// </summary>
    private static bool IsSansSerif(SKTypeface typeface)
    {
        const uint os2 = 'O' << 24 | 'S' << 16 | '/' << 8 | '2';
        return typeface.TryGetTableData(os2, out var table) && table.Length > 34
            && BinaryPrimitives.ReadUInt16BigEndian(table.AsSpan(32)) is >= 0x020B and <= 0x020F;
    }
}
