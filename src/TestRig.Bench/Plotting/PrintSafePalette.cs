using SkiaSharp;

namespace TestRig.Bench.Plotting;

/// <summary>
/// Colours that colour-blind readers can tell apart: M. Okabe and K. Ito, "Color Universal Design (CUD): how to make figures and presentations that
/// are friendly to colorblind people" (2002, revised 2008). Values from memory. Tints are ours: the colour mixed with white, light enough that
/// black text on them stays legible in grey print. A colour never carries a meaning alone: a word or a shape always says the same.
/// </summary>
internal static class PrintSafePalette
{
    public static readonly SKColor Black = new(0, 0, 0);
    public static readonly SKColor White = new(255, 255, 255);
    public static readonly SKColor Orange = new(230, 159, 0);
    public static readonly SKColor BluishGreen = new(0, 158, 115);
    public static readonly SKColor Blue = new(0, 114, 178);
    public static readonly SKColor Vermillion = new(213, 94, 0);

    public static readonly SKColor Trace = Blue;
    public static readonly SKColor WrongTrace = Vermillion;
    public static readonly SKColor Expected = BluishGreen;
    public static readonly SKColor ExpectedTint = Tint(BluishGreen, 0.25);
    public static readonly SKColor UncertainTint = Tint(Blue, 0.22);
    public static readonly SKColor WrongRow = Tint(Orange, 0.16);
    public static readonly SKColor FaintText = Tint(Black, 0.65);
    public static readonly SKColor Hatching = Tint(Black, 0.28);
    public static readonly SKColor Separator = Tint(Black, 0.2);

    private static SKColor Tint(SKColor colour, double share)
    {
        byte Mix(byte channel) => (byte)Math.Round((channel * share) + (255 * (1 - share)));
        return new(Mix(colour.Red), Mix(colour.Green), Mix(colour.Blue));
    }
}
