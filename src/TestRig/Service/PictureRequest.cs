using System.ComponentModel;
using System.Globalization;
using Microsoft.AspNetCore.Mvc;
using TestRig.Bench.Plotting;
using TestRig.Bench.Showing;
using TestRig.Core.Quantities;

namespace TestRig.Service;

/// <summary>Which picture of a channel is wanted, as it is written in its address.</summary>
internal sealed record PictureRequest
{
    /// <summary>Of the file, in pixels: more is no screen and no paper, and takes memory that others need.</summary>
    public const int MostPixels = 24_000_000;

    public const int MostDensity = 3;

    [FromQuery(Name = "cycle"), Description("Of this cycle, or round of a sweep; without, the sweep as a whole, or the first failing cycle of a soak whose captures are kept.")]
    public string? Cycle { get; init; }

    [FromQuery(Name = "from"), Description("From this time on, counted from the start of the capture, with its unit: 4.9ms. Without, from its start.")]
    public string? From { get; init; }

    [FromQuery(Name = "to"), Description("Until then. Without, to its end.")]
    public string? To { get; init; }

    [FromQuery(Name = "width"), Description("In pixels, 280 to 8000; 1600 where nothing is said. Less than 1200 is a narrow picture: one view, without words at the side.")]
    public string? Width { get; init; }

    [FromQuery(Name = "height"), Description("In pixels; without, as high as it has points.")]
    public string? Height { get; init; }

    [FromQuery(Name = "density"), Description("So many pixels of the file on each of those, 1 to 3: for fine screens.")]
    public string? Density { get; init; }

    [FromQuery(Name = "overlay"), Description("Lay this over it, dashed, edge on edge: another channel of the same cycle, or the same channel of another run, by its name.")]
    public string? Overlay { get; init; }

    public long? CycleNumber => QueryText.Number("cycle", Cycle, 1, long.MaxValue);

    public Duration? FromTime => QueryText.Time("from", From);

    public Duration? ToTime => QueryText.Time("to", To);

    public string? OverlayName => QueryText.Words("overlay", Overlay);

    /// <summary>Draws.</summary>
    /// <returns>PNG.</returns>
    /// <exception cref="BadQueryException">The size cannot be understood, or the picture has no room in it.</exception>
    public byte[] Draw(WaveformPicture picture, PlotFont font)
    {
        var width = (int)(QueryText.Number("width", Width, NarrowWaveformPlot.NarrowestWidth, 8000) ?? WaveformPlot.DefaultWidth);
        var density = (int)(QueryText.Number("density", Density, 1, MostDensity) ?? 1);
        var isNarrow = width < WaveformPlot.NarrowestWidth;
        var (least, usual) = isNarrow ? (NarrowWaveformPlot.LeastHeightOf(picture), NarrowWaveformPlot.HeightOf(picture)) : (WaveformPlot.LeastHeightOf(picture), WaveformPlot.HeightOf(picture));
        var height = (int?)QueryText.Number("height", Height, least, Math.Max(least, 8000));
        if ((long)width * (height ?? usual) * density * density > MostPixels)
            throw new BadQueryException(string.Create(CultureInfo.InvariantCulture, $"{width} x {height ?? usual} with a density of {density} is more than {MostPixels} pixels. Ask for a smaller 'width', 'height' or 'density'."));
        return isNarrow ? new NarrowWaveformPlot(font).ToPng(picture, width, height, density) : new WaveformPlot(font).ToPng(picture, width, height, density);
    }

    /// <exception cref="RunQuestionException">It was not exercised, or the stretch of time does not fit it.</exception>
    public WaveformPicture PictureOf(CapturedRun drawn, string channel, RunOverlay? over) => drawn.Picture(drawn.Exercised(channel)[0], over, FromTime, ToTime);
}
