using FsCheck.Xunit;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Captures;

/// <summary>A change of which the looks tell one interval and a stamp another.</summary>
public class NarrowedCaptureTests
{
    /// <summary>Both intervals contain the truth: so does what becomes of them, and it is wider than neither.</summary>
    [Property]
    public bool The_truth_stays_inside_whatever_the_two_intervals_are(ushort truth, byte before, byte after, byte stampBefore, byte stampAfter)
    {
        var at = truth + 1000;
        var seen = Change(at - before - 1, at + after); // (…, …]
        var stamp = Change(at - stampBefore - 1, at + stampAfter);
        var known = Only(Capture(seen).Narrowed("D8", stamp));
        return known.After < At(at) && At(at) <= known.NotAfter && known.Width <= seen.Width && known.Width <= stamp.Width;
    }

    /// <summary>Whatever the stamp says, right or wrong, the change never leaves the interval of the looks.</summary>
    [Property]
    public bool Nothing_is_known_that_the_looks_rule_out(ushort after, byte width, ushort stampAfter, byte stampWidth)
    {
        var seen = Change(after, after + width + 1);
        var known = Only(Capture(seen).Narrowed("D8", Change(stampAfter, stampAfter + stampWidth + 1)));
        var apart = stampAfter >= after + width + 1 || stampAfter + stampWidth + 1 <= after;
        return known.After >= seen.After && known.NotAfter <= seen.NotAfter && known.After < known.NotAfter && (!apart || known == seen);
    }

    [Fact]
    public void Intervals_that_only_touch_have_no_instant_in_common()
    {
        Assert.Equal(Change(100, 120), Only(Capture(Change(100, 120)).Narrowed("D8", Change(120, 125))));
        Assert.Equal(Change(100, 120), Only(Capture(Change(100, 120)).Narrowed("D8", Change(95, 100))));
        Assert.Equal(Change(119, 120), Only(Capture(Change(100, 120)).Narrowed("D8", Change(119, 124))));
    }

    [Fact]
    public void It_counts_for_one_change_of_that_signal_to_that_level_and_for_nothing_else()
    {
        var twice = Capture(Change(100, 120), Change(130, 140, Level.Low), Change(150, 170));
        Assert.Same(twice, twice.Narrowed("D8", Change(105, 110)));
        Assert.Same(twice, twice.Narrowed("D9", Change(105, 110)));
        var falls = twice.Narrowed("D8", Change(132, 136, Level.Low));
        Assert.Equal([Change(100, 120), Change(132, 136, Level.Low), Change(150, 170)], falls.Signals[0].Changes.AsEnumerable());
        Assert.Equal(twice.Signals[1], falls.Signals[1]);
        var never = Capture();
        Assert.Same(never, never.Narrowed("D8", Change(105, 110)));
    }

    private static Change Only(Capture capture) => capture.Signals[0].Changes.Single();

    private static Capture Capture(params Change[] changes) => new(
        Duration.FromNanoseconds(1), Duration.FromNanoseconds(20), 0, At(100_000), [new("D8", Level.Low, [.. changes]), new("D7", Level.High, [])], [], [],
        new(CaptureOutcome.Complete, null));

    private static Change Change(int after, int notAfter, Level level = Level.High) => new(At(after), At(notAfter), level);

    private static Instant At(int nanoseconds) => Instant.Start + Duration.FromNanoseconds(nanoseconds);
}
