using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Reporting;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>
/// Everything that the picture of one channel says, before anything is drawn: which panels, in which order, over which stretches of time, with which
/// words. <see cref="WaveformPlot"/> draws it.
/// </summary>
/// <param name="Channel">The channel's name.</param>
/// <param name="Board">The board's name.</param>
/// <param name="Condition">The channel's condition as a word.</param>
/// <param name="Good">True for a working channel.</param>
/// <param name="Headline">Which stage swallows the command, or that none does.</param>
/// <param name="Summary">The judge's own summary.</param>
/// <param name="Origin">When it was captured, and how finely.</param>
/// <param name="Views">The whole exercise first.</param>
/// <param name="Panels">In path order: the command, each stage's output, feedback, and other points that moved.</param>
public sealed record WaveformPicture(
    string Channel,
    string Board,
    string Condition,
    bool Good,
    string Headline,
    string Summary,
    string Origin,
    bool Simulated,
    ImmutableArray<PictureView> Views,
    ImmutableArray<Panel> Panels,
    ImmutableArray<Gap> Gaps)
{
    /// <exception cref="ArgumentException">The channel has no capture, so there is nothing to draw.</exception>
    public static WaveformPicture Of(ChannelResult result, PictureHeading heading)
    {
        var capture = result.Capture
            ?? throw new ArgumentException($"channel {result.Channel.Name} was not exercised: there is nothing to draw", nameof(result));
        if (capture.End <= Instant.Start)
            throw new ArgumentException($"the capture of channel {result.Channel.Name} has no length: there is nothing to draw", nameof(result));

        var panels = new PanelComposer(result, capture).Compose();
        return new(
            result.Channel.Name,
            heading.Board,
            Words.Of(result.Condition),
            result.Condition == Core.Judging.Condition.Working,
            PictureWords.Headline(result),
            result.Summary,
            Describe(capture, result.Exercises, heading.Started),
            heading.Simulated,
            ViewChooser.Choose(result, capture),
            panels,
            capture.Gaps);
    }

    private static string Describe(Capture capture, int exercises, DateTimeOffset started)
    {
        var ending = capture.Ending.Outcome switch
        {
            CaptureOutcome.StopInput => $"  ·  ended early by stop input {capture.Ending.StoppedBy}",
            CaptureOutcome.HostByte => "  ·  ended early by the host",
            _ => "",
        };
        var joined = exercises > 1 ? $"  ·  {exercises} exercises laid over each other" : "";
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{started:yyyy-MM-dd HH:mm:ss zzz}  ·  adapter resolution {capture.Resolution} (tick {capture.Tick}), clock ±{capture.ClockTolerance * 100:0.###} %{joined}{ending}");
    }
}
