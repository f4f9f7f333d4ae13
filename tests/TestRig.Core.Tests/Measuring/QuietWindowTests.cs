using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Measuring;

public class QuietWindowTests
{
    // J. Ganssle, "A Guide to Debouncing" (2004, rev. 2008), "Anatomy of a Bounce", as quoted: one trace is high for 81 ms, low for 42 ms, then high for good. (The taken instants follow from the definition.)
    [Theory]
    [InlineData(1, new[] { 1.0, 82, 124 })]
    [InlineData(20, new[] { 20.0, 101, 143 })]
    [InlineData(42, new[] { 42.0, 123, 165 })] // the window has just passed when the edge comes
    [InlineData(43, new[] { 43.0 })]
    [InlineData(81, new[] { 81.0 })]
    [InlineData(82, new[] { 205.0 })] // the first one never lasted: counted from the last edge
    [InlineData(200, new[] { 323.0 })]
    public void The_published_bounce_is_taken_as_three_changes_or_as_one(int window, double[] takenAt)
    {
        var taken = new QuietWindow(Duration.FromMilliseconds(window)).Take(Level.Low, Changes(0, 81, 123), At(1000));
        Assert.False(taken.Pending);
        Assert.Equal(takenAt.Select(At), taken.Changes.Select(change => change.At));
        Assert.Equal(Level.High, taken.Changes[^1].Level);
    }

    [Fact]
    public void A_window_that_still_runs_at_the_end_is_told()
    {
        var window = new QuietWindow(Duration.FromMilliseconds(50));
        Assert.True(window.Take(Level.Low, Changes(0, 81, 123), At(40)).Pending);
        Assert.True(window.Take(Level.Low, Changes(0, 81), At(100)).Pending);
        Assert.False(window.Take(Level.Low, Changes(0, 81, 123), At(1000)).Pending);
        Assert.Empty(window.Take(Level.Low, [], At(1000)).Changes);
    }

    [Fact]
    public void Whether_a_window_passed_before_the_next_edge_is_told_only_as_well_as_it_was_measured()
    {
        var changes = Changes(0, 81, 123);
        Assert.False(new QuietWindow(Duration.FromMilliseconds(42)).IsTold(changes, 0.005));
        Assert.False(new QuietWindow(Duration.FromSeconds(0.0812)).IsTold(changes, 0.005));
        Assert.True(new QuietWindow(Duration.FromMilliseconds(43)).IsTold(changes, 0.005));
        Assert.True(new QuietWindow(Duration.FromMilliseconds(20)).IsTold(changes, 0.005));
    }

    // Whatever comes: taken changes alternate, begin with the level not taken before, and a longer window takes no more of them.
    [Fact]
    public void A_longer_window_never_takes_more()
    {
        var random = new Random(9);
        for (var trial = 0; trial < 500; trial++)
        {
            var at = 0.0;
            double[] edges = [.. Enumerable.Range(0, random.Next(1, 30)).Select(_ => at += 0.1 + (30 * random.NextDouble() * random.NextDouble()))];
            var before = int.MaxValue;
            for (var window = 1; window < 40; window += 3)
            {
                var taken = new QuietWindow(Duration.FromMilliseconds(window)).Take(Level.Low, Changes(edges), At(100_000)).Changes;
                Assert.True(taken.Length <= before, $"{window} ms: {taken.Length} after {before}");
                Assert.All(taken.Select((change, index) => (change, index)), pair => Assert.Equal(pair.index % 2 == 0 ? Level.High : Level.Low, pair.change.Level));
                before = taken.Length;
            }
        }
    }

    private static Instant At(double milliseconds) => Instant.Start + Duration.FromSeconds(milliseconds * 1e-3);

    private static ImmutableArray<Change> Changes(params double[] milliseconds) =>
        [.. milliseconds.Select((at, index) => new Change(At(at) - new Duration(600_000), At(at) + new Duration(600_000), index % 2 == 0 ? Level.High : Level.Low))];
}
