using TestRig.Bench.Plotting;
using TestRig.Core.Quantities;
using TestRig.Service;

namespace TestRig.Pages;

/// <summary>A picture of waveforms on a page, which is moved and zoomed by asking for another.</summary>
/// <param name="Picture">What it shows now.</param>
/// <param name="Whole">What it shows of the whole capture: its views are where one may want to go.</param>
/// <param name="Address">Of the picture, without a query.</param>
/// <param name="Fixed">The parameters that stay the same wherever one goes.</param>
/// <param name="Page">The address of this page with what stays the same there, up to the parameters of a stretch.</param>
/// <param name="Together">Pictures of the same word move together.</param>
public sealed record PlotView(string Channel, string Name, WaveformPicture Picture, WaveformPicture Whole, PlotRange Range, string Address, string Fixed, string Page, string Together)
{
    /// <summary>Widths for a telephone, a tablet and a desk, in pixels.</summary>
    private const int Telephone = 340, Tablet = 720;

    /// <summary>Where half a page is all the room there is.</summary>
    public bool IsHalf { get; init; }

    /// <summary>Views that the picture has of the whole exercise, beside it.</summary>
    public IEnumerable<(string Words, PlotRange Range)> Places => Whole.Views.Skip(1).Select(view => (view.Title, Range with
    {
        From = Duration.Max(Duration.Zero, view.From.SinceStart),
        To = Duration.Min(Range.Length, view.To.SinceStart),
    }));

    public string Caption => Range.IsWhole ? $"The whole capture, {Range.Length}" : $"{Range.From} to {Range.To}";

    public string Description => PictureDescription.Of(Picture);

    /// <summary>A picture for each width of a window, the narrowest first; the last is for all windows that are left.</summary>
    public IEnumerable<PlotSource> Sources => IsHalf
        ? [Source(Telephone, "(max-width: 30rem)"), Source(560, null)]
        : [Source(Telephone, "(max-width: 30rem)"), Source(Tablet, "(max-width: 64rem)"), Source(WaveformPlot.NarrowestWidth, null)];

    /// <summary>The address of this page that shows another stretch.</summary>
    public string PageOf(PlotRange range) => $"{Page}{(range.IsWhole ? "" : $"{(Page.Contains('?', StringComparison.Ordinal) ? '&' : '?')}channel={Uri.EscapeDataString(Channel)}&{range.Query}")}#channel-{Uri.EscapeDataString(Channel)}";

    private PlotSource Source(int width, string? media)
    {
        var height = width < WaveformPlot.NarrowestWidth ? NarrowWaveformPlot.HeightOf(Picture) : WaveformPlot.HeightOf(Picture);
        return new($"{Address}?{string.Join('&', ((string[])[Fixed, Range.Query, $"width={width}&density=2"]).Where(part => part.Length > 0))}", width, height, media);
    }
}

/// <param name="Media">Which windows it is for, as a style sheet says it; null for all that are left.</param>
public sealed record PlotSource(string Address, int Width, int Height, string? Media);
