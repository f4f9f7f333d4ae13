using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Judging;

public class SwitchFeedbackTests
{
    [Fact]
    public void A_bouncing_contact_is_placed_where_the_worst_bouncing_begins()
    {
        // Closes cleanly after 100 ms, opens after 200 ms with twelve extra transitions over 12 ms. Ten and 5 ms are permitted.
        const double opens = 200_000;
        var changes = new List<Change> { Some.Change(100_000, Level.Low) };
        for (var i = 0; i <= 12; i++)
            changes.Add(Some.Change(opens + (i * 1_000), i % 2 == 0 ? Level.High : Level.Low));
        var feedback = new SwitchFeedback(Some.Point("home-switch", "D13"), 10, Duration.FromMilliseconds(5));
        var channel = Some.Channel(1) with { Feedback = [feedback] };
        var capture = new Capture(
            Duration.FromNanoseconds(63), Duration.FromNanoseconds(1300), 0.005, Instant.Start + Duration.FromMilliseconds(400),
            [new("home-switch", Level.High, [.. changes])], [], [], new(CaptureOutcome.Complete, null));
        var on = new CommandEdge(Level.Low, null, Instant.Start, capture.End);

        var finding = Assert.Single(FeedbackJudge.Judge(channel, capture, new(on, on)));
        Assert.Equal(Verdict.Bouncing, finding.Verdict);
        Assert.Equal(12, finding.Bounces);
        Assert.Equal(changes[1].Estimate, finding.ObservedAt);
    }
}
