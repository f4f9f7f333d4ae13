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
    /// <summary>Share of a view in front of its edge, and behind the last thing that it must show.</summary>
    private const double Margin = 0.2;

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
        var ons = (drive?.Changes ?? []).Where(change => change.Level == line.Active).Select(change => change.Estimate).ToList();
        if (ons.Count > 0)
        {
            // Of repeated commands, the one that went wrong.
            var on = ons.Where(edge => wrongAt is { } wrong && edge <= wrong).LastOrDefault(ons[0]);
            var off = drive!.Changes.Where(change => change.Level == line.Idle && change.Estimate > on).Select(change => (Instant?)change.Estimate).FirstOrDefault();
            views.Add(Around(on, LastOfInterest(result, capture, on, off ?? capture.End), "a", $"Command on: {point} {line.Active.ArrivalWord()}", $"{point} {line.Active.ArrivalWord()}", capture));
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
    private static Instant LastOfInterest(ChannelResult result, Capture capture, Instant edge, Instant next)
    {
        var last = edge;
        // The judge's estimate of the same edge may differ from the drawn one within the resolution.
        edge -= capture.Resolution;
        next -= capture.Resolution;
        foreach (var finding in result.Findings.Where(finding => finding.Stage is not null && finding.IsTransition()))
        {
            if ((finding.CauseAt ?? finding.ObservedAt) is not { } start || start < edge || start >= next)
                continue;
            if (finding.ObservedAt is { } observed)
                last = Instant.Max(last, observed);
            if (finding is { CauseAt: { } cause, Latest: { } latest })
                last = Instant.Max(last, cause + latest);
        }
        return last;
    }

    private static PictureView Around(Instant edge, Instant last, string letter, string title, string what, Capture capture)
    {
        var length = Duration.Max(last - edge, capture.Resolution * ShortestInResolutions);
        var from = Instant.Max(edge - length.Scaled(Margin), Instant.Start);
        var to = Instant.Min(edge + length.Scaled(1 + Margin), capture.End);
        var unit = TimeUnit.For(to - from);
        return new(letter, title, from, to, edge, unit, $"{unit.Symbol} after {what}");
    }

    private static PictureView? CloseUp(ChannelResult result, Instant first, Capture capture)
    {
        var failure = result.FirstFailure!;
        var changes = capture.Find(failure.TestPoint)?.Changes ?? [];
        var settles = result.Channel.Feedback.OfType<Core.Boards.SwitchFeedback>()
            .FirstOrDefault(feedback => feedback.Point.Name == failure.TestPoint)?.SettlesWithin;
        var reach = settles ?? Duration.Max(failure.Latest ?? Duration.Zero, capture.Resolution * ShortestInResolutions);
        var last = first + reach;
        // A burst goes on as long as the next change follows within the same reach.
        foreach (var change in changes)
        {
            if (change.Estimate > first && change.Estimate - last <= Duration.Zero)
                last = Instant.Max(last, change.Estimate + reach.Scaled(0.5));
        }
        last = Instant.Min(last, capture.End);
        if (last <= first)
            return null;
        return Around(first, last, "b", $"First wrong: {failure.TestPoint}", "the first wrong transition", capture);
    }
}
