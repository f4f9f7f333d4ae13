using TestRig.Bench.Plotting;
using TestRig.Core.Judging;

namespace TestRig.Bench.Reporting;

/// <summary>A picture as a report embeds it.</summary>
/// <param name="Png">The picture.</param>
/// <param name="Description">What it shows, in words, for whoever cannot see it.</param>
public sealed record ChannelPicture(byte[] Png, string Description)
{
    public static ChannelPicture Draw(BoardMapPlot plot, BoardMap map) => new(plot.ToPng(map), PictureDescription.Of(map));

    public static ChannelPicture Draw(DriftPlot plot, DriftPicture picture) => new(plot.ToPng(picture), PictureDescription.Of(picture));

    /// <param name="channel">With a capture.</param>
    public static ChannelPicture Draw(WaveformPlot plot, ChannelResult channel, PictureHeading heading) => Draw(plot, WaveformPicture.Of(channel, heading));

    public static ChannelPicture Draw(WaveformPlot plot, WaveformPicture picture) => new(plot.ToPng(picture), PictureDescription.Of(picture));
}
