using TestRig.Core.Diagnosing;

namespace TestRig.Core.Tests.Diagnosing;

/// <summary>The small invented board: channels move-1 and move-2, points U3.18, U4.18, OK1.5, Q1.C and U3.16, U4.16, OK2.5, Q2.C. Outcomes of a trace: 0 stays low, 7 stays high, 5 goes low and comes back.</summary>
public class LeadsAnywhereTests
{
    private static Seen Trace(string channel, string point, int outcome) => new(new(channel, point, SightKind.Trace), outcome);

    private static IEnumerable<string> Crossed(params Seen[] seen) => LeadsAnywhere.Crossed(Some.Board(), seen).Select(fault => fault.Name);

    [Fact]
    public void Where_every_point_follows_its_own_line_no_lead_is_thought_of() =>
        Assert.Empty(Crossed(Trace("move-1", "OK1.5", 5), Trace("move-1", "OK2.5", 7), Trace("move-2", "OK2.5", 5), Trace("move-2", "OK1.5", 7)));

    /// <summary>Four points of the other channel, and for each: exchanged, the one at the other, the other at the one.</summary>
    [Fact]
    public void A_point_that_follows_anothers_line_may_be_at_any_point_there()
    {
        var names = Crossed(Trace("move-2", "U3.18", 5)).ToList();
        Assert.Equal(12, names.Count);
        Assert.All((string[])["U3.16", "U4.16", "OK2.5", "Q2.C"], other => Assert.Contains($"lead:U3.18=at-{other}", names));
        Assert.Contains("lead:U3.18+U4.16=swapped", names);
    }

    /// <summary>U3.18 shows what U4.16 should, and the other way round: each pair is thought of once, in the order of the profile.</summary>
    [Fact]
    public void A_pair_is_thought_of_once()
    {
        var names = Crossed(Trace("move-2", "U3.18", 5), Trace("move-1", "U4.16", 5)).ToList();
        Assert.Equal(names.Distinct(), names);
        Assert.Single(names, "lead:U3.18+U4.16=swapped");
        Assert.DoesNotContain("lead:U4.16+U3.18=swapped", names);
    }

    /// <summary>Outcome 8 and above: it does not settle.</summary>
    [Fact]
    public void What_does_not_settle_follows_nothing() => Assert.Empty(Crossed(Trace("move-2", "U3.18", 8 + 2)));
}
