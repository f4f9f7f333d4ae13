using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Link;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Adapters.Serial;

/// <summary>Ticks of 1 ns; a timer that goes round every 1000; latency 0 to 4, so a stamp s means a change in (s - 5, s].</summary>
public class FineStampsTests
{
    private static readonly Duration _tick = Duration.FromNanoseconds(1);

    [Fact]
    public void The_round_is_the_one_that_meets_the_looks_and_the_change_lies_in_both()
    {
        var stamp = Read(Stamp(437), (Level.High, 3420, 3440)).Stamp!;
        Assert.Equal(At(3437), stamp.Stamp);
        Assert.Equal((At(3432), At(3437)), (stamp.Change.After, stamp.Change.NotAfter));
        // Only part of the stamp's interval lies in that of the looks.
        Assert.Equal((At(3420), At(3422)), Interval(Read(Stamp(422), (Level.High, 3420, 3440))));
        Assert.Equal((At(3437), At(3440)), Interval(Read(Stamp(442), (Level.High, 3420, 3440))));
        // Just behind the timer's going round, and in its first round.
        Assert.Equal((At(2996), At(3001)), Interval(Read(Stamp(1), (Level.High, 2990, 3010))));
        Assert.Equal((At(500), At(505)), Interval(Read(Stamp(505), (Level.High, 500, 520))));
    }

    [Fact]
    public void A_whole_stamp_has_one_round()
    {
        Assert.Equal((At(3432), At(3437)), Interval(Read(Stamp(3437) with { Modulus = 0 }, (Level.High, 3420, 3440))));
        Assert.Null(Read(Stamp(437) with { Modulus = 0 }, (Level.High, 3420, 3440)).Stamp);
    }

    [Theory]
    [InlineData(419)] // its change would be before or at 419
    [InlineData(420)]
    [InlineData(446)] // and its after 441
    public void A_stamp_of_another_change_is_not_used(int stamp) =>
        Assert.Contains("not that of the change", Read(Stamp((uint)stamp), (Level.High, 3420, 3440)).Unusable, StringComparison.Ordinal);

    [Fact]
    public void Without_exactly_one_such_change_the_stamp_is_not_used()
    {
        Assert.Contains("0 times", Read(Stamp(437)).Unusable, StringComparison.Ordinal);
        Assert.Contains("0 times", Read(Stamp(437), (Level.Low, 3420, 3440)).Unusable, StringComparison.Ordinal);
        Assert.Contains("2 times", Read(Stamp(437), (Level.High, 420, 440), (Level.Low, 500, 520), (Level.High, 3420, 3440)).Unusable, StringComparison.Ordinal);
        Assert.NotNull(Read(Stamp(437), (Level.High, 3420, 3440), (Level.Low, 3500, 3520)).Stamp);
    }

    [Fact]
    public void A_change_that_the_hardware_did_not_see_or_that_a_long_gap_hides_is_not_resolved()
    {
        Assert.Contains("the hardware did not", Read(Stamp(437) with { Seen = false }, (Level.High, 3420, 3440)).Unusable, StringComparison.Ordinal);
        Assert.Contains("gap", Read(Stamp(437), (Level.High, 2400, 3440)).Unusable, StringComparison.Ordinal);
    }

    /// <summary>The voltages are those of the vector crossing-record-reply. With levels of 0.05 V and 5.05 V at the pin: up 30 ns × ln(4.086 / 2) and down 30 ns × ln(2.9 / 0.814), beside 10 ns.</summary>
    private static readonly PinEdge _edge = new(new(0.05), new(5.05), Duration.FromNanoseconds(10), Duration.FromNanoseconds(30));

    [Fact]
    public void A_crossing_on_the_way_up_came_before_the_change_and_on_the_way_down_behind_it()
    {
        var up = Read(Crossing(437, high: true), _edge, (Level.High, 3400, 3490)).Stamp!;
        var (before, behind) = ((long)Math.Round(10_000 + (30_000 * Math.Log(4.086 / 2))), (long)Math.Round(10_000 + (30_000 * Math.Log(2.9 / 0.814))));
        Assert.Equal(before, up.Transit.Picoseconds);
        Assert.Equal((At(3432), At(3437) + new Duration(before)), (up.Change.After, up.Change.NotAfter));
        var down = Read(Crossing(437, high: false), _edge, (Level.Low, 3340, 3490)).Stamp!;
        Assert.Equal(behind, down.Transit.Picoseconds);
        Assert.Equal((At(3432) - new Duration(behind), At(3437)), (down.Change.After, down.Change.NotAfter));
        // A latency that agrees with the looks: what lies between crossing and change counts in it.
        Assert.Equal((At(3437) - At(3490), At(3437) - At(3400) + new Duration(before)), up.Agreeing);
        Assert.Equal((At(3437) - At(3490) - new Duration(behind), At(3437) - At(3340)), down.Agreeing);
    }

    /// <summary>
    /// The trap: the looks saw a slow edge long behind its crossing. Taken for the change itself the stamp would miss it, or be taken for another change's.
    /// </summary>
    [Fact]
    public void Looks_behind_the_crossing_agree_with_it_on_the_way_up_and_not_on_the_way_down()
    {
        Assert.Equal((At(3440), At(3450)), Interval(Read(Crossing(437, high: true), _edge, (Level.High, 3440, 3450))));
        Assert.Null(Read(Stamp(437), (Level.High, 3440, 3450)).Stamp);
        Assert.Null(Read(Crossing(437, high: false), _edge, (Level.Low, 3440, 3450)).Stamp);
        Assert.Equal((At(3400), At(3410)), Interval(Read(Crossing(437, high: false), _edge, (Level.Low, 3400, 3410))));
        Assert.Null(Read(Crossing(437, high: true), _edge, (Level.High, 3400, 3410)).Stamp);
        // Around the timer's going round.
        Assert.Equal((At(3005), At(3015)), Interval(Read(Crossing(990, high: true), _edge, (Level.High, 3005, 3015))));
        Assert.Equal((At(2980), At(2990)), Interval(Read(Crossing(5, high: false), _edge, (Level.Low, 2980, 2990))));
    }

    [Fact]
    public void A_crossing_that_the_looks_know_better_is_said_to_be_of_no_use()
    {
        Assert.Contains("looked at more closely", Read(Crossing(437, high: true), _edge, (Level.High, 3440, 3450)).NoUse, StringComparison.Ordinal);
        Assert.Null(Read(Crossing(437, high: true), _edge, (Level.High, 3400, 3490)).NoUse);
    }

    [Fact]
    public void A_crossing_whose_distance_from_the_change_nothing_bounds_is_not_used()
    {
        Assert.Contains("nothing tells how long", Read(Crossing(437, high: true), null, (Level.High, 3420, 3440)).Unusable, StringComparison.Ordinal);
        var weak = Read(Crossing(437, high: true), _edge with { High = new(3.0) }, (Level.High, 3420, 3440)).Unusable;
        Assert.Contains("50 mV and 3 V", weak, StringComparison.Ordinal);
        Assert.Contains("not clear", weak, StringComparison.Ordinal);
        Assert.Contains("goes round in 1 µs", Read(Crossing(437, high: true), _edge with { Source = Duration.FromNanoseconds(1000) }, (Level.High, 3420, 3440)).Unusable, StringComparison.Ordinal);
        // An edge nearly as long as a round: two rounds may be meant.
        Assert.Contains("longer than a round", Read(Crossing(437, high: true), _edge with { Source = Duration.FromNanoseconds(950) }, (Level.High, 3390, 3440)).Unusable, StringComparison.Ordinal);
    }

    private static FineRecord Crossing(uint stamp, bool high) =>
        Stamp(stamp) with { High = high, Crossing = new(new(0.914), new(1.306), new(1.5), new(3.0)) };

    private static FineRecord Stamp(uint stamp) => new(Pin: 8, High: true, Seen: true, stamp, Modulus: 1000, Least: 0, Most: 4);

    private static FineReading Read(FineRecord record, params (Level To, int After, int NotAfter)[] changes) => Read(record, null, changes);

    private static FineReading Read(FineRecord record, PinEdge? edge, params (Level To, int After, int NotAfter)[] changes)
    {
        var signal = new Signal("D8", Level.Low, [.. changes.Select(change => new Change(At(change.After), At(change.NotAfter), change.To))]);
        var capture = new Capture(_tick, _tick, 0, At(9000), [signal], [], [], new(CaptureOutcome.Complete, null));
        return FineStamps.Of(record, "D8", capture, _tick, edge);
    }

    private static (Instant After, Instant NotAfter) Interval(FineReading reading) => (reading.Stamp!.Change.After, reading.Stamp.Change.NotAfter);

    private static Instant At(int ticks) => Instant.Start + (_tick * ticks);
}
