using TestRig.Bench.Campaigns;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Tests.Campaigns;

public class ObservationTests
{
    private static readonly Sight _lamp = new("lamp", "Q1.C", SightKind.Trace), _voltage = new("lamp", "U1.18", SightKind.VoltageOn);

    [Fact]
    public void The_order_in_which_it_was_seen_does_not_matter() =>
        Assert.Equal(Observation.Of([new(_lamp, 5), new(_voltage, 2)]), Observation.Of([new(_voltage, 2), new(_lamp, 5)]));

    [Fact]
    public void Another_outcome_is_another_observation() => Assert.NotEqual(Observation.Of([new(_lamp, 5)]), Observation.Of([new(_lamp, 7)]));

    [Fact]
    public void What_was_not_looked_at_is_another_observation() => Assert.NotEqual(Observation.Of([new(_lamp, 5)]), Observation.Of([new(_lamp, 5), new(_voltage, 2)]));

    /// <summary>Too near a limit: whichever side it was found on, it is the same to whoever cannot tell.</summary>
    [Fact]
    public void What_cannot_be_told_is_one_outcome_of_its_own()
    {
        Assert.Equal(Observation.Of([new(_voltage, 1, Surely: false)]), Observation.Of([new(_voltage, 2, Surely: false)]));
        Assert.NotEqual(Observation.Of([new(_voltage, 1, Surely: false)]), Observation.Of([new(_voltage, 1)]));
    }

    /// <summary>Outcomes of a trace from 8 on are of a point that does not settle: its levels at three instants are three draws.</summary>
    [Fact]
    public void A_point_that_does_not_settle_is_one_outcome_wherever_it_was_found()
    {
        Assert.Equal(Observation.Of([new(_lamp, 8)]), Observation.Of([new(_lamp, 15)]));
        Assert.NotEqual(Observation.Of([new(_lamp, 15)]), Observation.Of([new(_lamp, 7)]));
    }
}
