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

    /// <summary>What one specimen shows and another does not says nothing of the fault; of the nominal ones it does.</summary>
    [Fact]
    public void Benches_are_alike_of_which_any_specimens_are()
    {
        var (one, other) = (Observation.Of([new(_lamp, 5)]), Observation.Of([new(_lamp, 7)]));
        Assert.False(one.IsLike(other));
        var either = one.Or(other);
        Assert.True(either.IsLike(other) && other.IsLike(either) && either.IsLike(one));
        Assert.False(either.IsNominallyLike(other));
        Assert.True(either.IsNominallyLike(one));
    }

    /// <summary>A loop that swings in one exercise may have found its balance in the next: what is read there is chance.</summary>
    [Fact]
    public void A_point_that_does_not_settle_in_one_exercise_may_rest_anywhere_in_another()
    {
        var elsewhere = new Sight("other", _lamp.Point, SightKind.Trace);
        Assert.True(Like([new(_lamp, 8), new(elsewhere, 0)], [new(_lamp, 8), new(elsewhere, 7)]));
        Assert.False(Like([new(_lamp, 5), new(elsewhere, 0)], [new(_lamp, 5), new(elsewhere, 7)]));
    }

    /// <summary>What was chance of it is over; what the adapter could not tell stays open.</summary>
    [Fact]
    public void A_sweep_that_is_over_came_out_one_way()
    {
        var elsewhere = new Sight("other", _lamp.Point, SightKind.Trace);
        Seen[] swings = [new(_lamp, 8), new(elsewhere, 0)], rests = [new(_lamp, 0), new(elsewhere, 8)];
        Assert.True(Like(swings, rests));
        Assert.False(Observation.AsItCameOut(swings).IsLike(Observation.Of(rests)));
        Assert.True(Observation.AsItCameOut(swings).IsLike(Observation.Of([new(_lamp, 15), new(elsewhere, 7)])));
        Assert.True(Observation.AsItCameOut([Seen.Between(_voltage, 1, 1, 2)]).IsLike(Observation.Of([new(_voltage, 2)])));
    }

    private static bool Like(Seen[] one, Seen[] other)
    {
        Assert.Equal(Observation.Of(one).IsLike(Observation.Of(other)), Observation.Of(other).IsLike(Observation.Of(one)));
        return Observation.Of(one).IsLike(Observation.Of(other));
    }
}
