using TestRig.Bench.Campaigns;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Tests.Campaigns;

public class ObservationTests
{
    private static readonly Sight _lamp = new("lamp", "Q1.C", SightKind.Trace), _voltage = new("lamp", "U1.18", SightKind.VoltageOn);

    [Fact]
    public void The_order_in_which_it_was_seen_does_not_matter() => Assert.True(Like([new(_lamp, 5), new(_voltage, 2)], [new(_voltage, 2), new(_lamp, 5)]));

    [Fact]
    public void Another_outcome_is_another_observation() => Assert.False(Like([new(_lamp, 5)], [new(_lamp, 7)]));

    [Fact]
    public void What_was_not_looked_at_is_another_observation() => Assert.False(Like([new(_lamp, 5)], [new(_lamp, 5), new(_voltage, 2)]));

    /// <summary>Too near a limit: it is like whatever it may be, and like nothing else.</summary>
    [Fact]
    public void What_cannot_be_told_is_like_all_that_it_may_be()
    {
        var between = Seen.Between(_voltage, 1, 1, 2);
        Assert.True(Like([between], [new(_voltage, 1)]));
        Assert.True(Like([between], [new(_voltage, 2)]));
        Assert.False(Like([between], [new(_voltage, 0)]));
    }

    /// <summary>Outcomes of a trace from 8 on are of a point that does not settle: its levels at three instants are three draws.</summary>
    [Fact]
    public void A_point_that_does_not_settle_is_the_same_wherever_it_was_found()
    {
        Assert.True(Like([new(_lamp, 8)], [new(_lamp, 15)]));
        Assert.False(Like([new(_lamp, 15)], [new(_lamp, 7)]));
    }

    private static bool Like(Seen[] one, Seen[] other)
    {
        Assert.Equal(Observation.Of(one).IsLike(Observation.Of(other)), Observation.Of(other).IsLike(Observation.Of(one)));
        return Observation.Of(one).IsLike(Observation.Of(other));
    }
}
