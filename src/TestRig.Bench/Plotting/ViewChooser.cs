using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>
/// Chooses the stretches of time that a picture shows. Delays of stages are a thousand times shorter than an exercise, so the whole comes first and
/// then the two edges of the command, each at its own scale; where the first wrong transition is at neither, it takes the place of the second.
/// </summary>
internal static class ViewChooser
{
    /// <summary>Share of a view in front of its edge.</summary>
    private const double MarginBefore = 0.2;

    /// <summary>Share of a view behind the last thing that it must show: room for that one's words.</summary>
    private const double MarginBehind = 0.4;

    /// <summary>A view shows at least this many times the adapter's resolution: closer up there is nothing more to see.</summary>
    private const int ShortestInResolutions = 8;

    public static ImmutableArray<PictureView> Choose(ChannelResult result, Capture capture)
    {
        var length = capture.End - Instant.Start;
        var unit = TimeUnit.For(length);
        var views = ImmutableArray.CreateBuilder<PictureView>();
        views.Add(new("", $"Whole exercise, {length}", Instant.Start, capture.End, Instant.Start, unit, $"{unit.Symbol} since the start"));

        var line = result.Channel.Line;
        var drive = PanelComposer.DriveSignal(result.Channel, capture);
        var failure = result.FirstFailure;
        var wrongAt = failure?.ObservedAt ?? failure?.CauseAt;
        var point = result.Channel.DrivenAt.Name;
        var ons = (drive?.Changes ?? []).Where(change => change.Level == line.Active).ToList();
        if (ons.Count > 0)
        {
            // Of repeated commands, the one that went wrong.
            var on = ons.Where(edge => wrongAt is { } wrong && edge.Estimate <= wrong).LastOrDefault(ons[0]);
            var off = drive!.Changes.Where(change => change.Level == line.Idle && change.Estimate > on.Estimate).Select(change => (Change?)change).FirstOrDefault();
            views.Add(Around(on, LastOfInterest(result, capture, on, off?.Estimate ?? capture.End), "a", $"Command on: {point} {line.Active.ArrivalWord()}", $"{point} {line.Active.ArrivalWord()}", capture));
            if (off is { } end)
                views.Add(Around(end, LastOfInterest(result, capture, end, capture.End + capture.Resolution), "b", $"Command off: {point} {line.Idle.ArrivalWord()}", $"{point} {line.Idle.ArrivalWord()}", capture));
        }
        if (wrongAt is { } instant && !views.Skip(1).Any(view => view.Contains(instant)) && CloseUp(result, instant, capture) is { } closeUp)
        {
            if (views.Count == 3)
                views.RemoveAt(2);
            views.Add(closeUp);
        }
        return views.ToImmutable();
    }

    /// <summary>The latest transition or end of a window that belongs to the command's edge.</summary>
    private static Instant LastOfInterest(ChannelResult result, Capture capture, Change command, Instant next)
    {
        var last = command.NotAfter;
        // The judge's estimate of the same edge may differ from the drawn one within the resolution.
        var edge = command.Estimate - capture.Resolution;
        next -= capture.Resolution;
        foreach (var finding in result.Findings.Where(finding => finding.Stage is not null && finding.IsTransition()))
        {
            if ((finding.CauseAt ?? finding.ObservedAt) is not { } start || start < edge || start >= next)
                continue;
            if (finding.ObservedAt is { } observed)
                last = Instant.Max(last, EndOfInterval(capture, finding.TestPoint, observed));
            if (finding is { CauseAt: { } cause, Latest: { } latest })
                last = Instant.Max(last, cause + latest);
        }
        return last;
    }

    /// <summary>Until when the change that was estimated at this instant can have been.</summary>
    private static Instant EndOfInterval(Capture capture, string point, Instant observed)
    {
        foreach (var change in capture.Find(point)?.Changes ?? [])
        {
            if (change.Estimate == observed)
                return change.NotAfter;
        }
        return observed;
    }

    private static PictureView Around(Change edge, Instant last, string letter, string title, string what, Capture capture) =>
        Around(edge.After, edge.Estimate, last, letter, title, what, capture);

    /// <param name="first">Begin of what the view must show: where the edge can have been at the earliest.</param>
    private static PictureView Around(Instant first, Instant edge, Instant last, string letter, string title, string what, Capture capture)
    {
        var length = Duration.Max(last - first, capture.Resolution * ShortestInResolutions);
        var from = Instant.Max(first - length.Scaled(MarginBefore), Instant.Start);
        var to = Instant.Min(first + length.Scaled(1 + MarginBehind), capture.End);
        var unit = TimeUnit.For(to - from);
        return new(letter, title, from, to, edge, unit, $"{unit.Symbol} after {what}");
    }

    private static PictureView? CloseUp(ChannelResult result, Instant first, Capture capture)
    {
        var failure = result.FirstFailure!;
        // A voltage is read in a gap, where no trace can be shown, however close.
        if (failure.Expected is Expectation.LowLevel or Expectation.HighLevel)
            return null;
        var changes = capture.Find(failure.TestPoint)?.Changes ?? [];
        var settles = result.Channel.Feedback.OfType<Core.Boards.SwitchFeedback>()
            .FirstOrDefault(feedback => feedback.Point.Name == failure.TestPoint)?.SettlesWithin;
        var reach = settles ?? Duration.Max(failure.Latest ?? Duration.Zero, capture.Resolution * ShortestInResolutions);
        var last = first + reach;
        // All transitions that the finding counts.
        foreach (var change in changes.Where(change => change.Estimate >= first).Take(failure.Bounces + 1))
            last = Instant.Max(last, change.Estimate);
        last = Instant.Min(last, capture.End);
        if (last <= first)
            return null;
        return Around(first, first, last, "b", $"First wrong: {failure.TestPoint}", "the first wrong transition", capture);
    }
}
