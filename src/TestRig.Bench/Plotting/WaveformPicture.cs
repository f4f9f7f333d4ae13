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

    /// <summary>What is laid over, for people; null where nothing is.</summary>
    public string? Overlay { get; init; }

    /// <summary>Only a stretch of time, in one view.</summary>
    /// <param name="to">Behind <paramref name="from"/>.</param>
    public WaveformPicture Between(Instant from, Instant to)
    {
        var unit = TimeUnit.For(to - from);
        return this with
        {
            Views = [new("", $"{from - Instant.Start} to {to - Instant.Start}", from, to, Instant.Start, unit, $"{unit.Symbol} since the start") { OverlayShift = Views[0].OverlayShift }],
        };
    }

    /// <summary>With another channel, or the same one of another run, laid over: point by point in path order, and in each view edge on edge.</summary>
    /// <param name="other">With a capture.</param>
    /// <param name="name">Of it, for people.</param>
    public WaveformPicture Under(ChannelResult other, string name)
    {
        var over = Of(other, new("", default, Simulated: false));
        var command = Views.Skip(1).FirstOrDefault();
        return this with
        {
            Overlay = name,
            Panels =
            [
                .. Panels.Select((panel, index) => PanelComposer.Matching(panel, index, over.Panels) is { } matching
                    ? panel with { Overlay = matching.Signal, Words = [.. panel.Words, .. matching.Standing == PanelStanding.NotJudged ? [] : matching.Words.Take(2).Select(words => $"{name}: {words}")] }
                    : panel),
            ],
            Views = [.. Views.Select(view => view with { OverlayShift = Shift(view.Letter.Length > 0 ? view : command ?? view, over.Views) })],
        };
    }

    /// <summary>The first edge of the command stands for the whole exercise.</summary>
    private static Duration? Shift(PictureView view, ImmutableArray<PictureView> others) =>
        others.FirstOrDefault(other => other.Letter == view.Letter) is { } same ? view.Origin - same.Origin : null;

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
