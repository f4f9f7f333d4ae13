using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
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

    private static FineRecord Stamp(uint stamp) => new(Pin: 8, High: true, Seen: true, stamp, Modulus: 1000, Least: 0, Most: 4);

    private static FineReading Read(FineRecord record, params (Level To, int After, int NotAfter)[] changes)
    {
        var signal = new Signal("D8", Level.Low, [.. changes.Select(change => new Change(At(change.After), At(change.NotAfter), change.To))]);
        var capture = new Capture(_tick, _tick, 0, At(9000), [signal], [], [], new(CaptureOutcome.Complete, null));
        return FineStamps.Of(record, "D8", capture, _tick);
    }

    private static (Instant After, Instant NotAfter) Interval(FineReading reading) => (reading.Stamp!.Change.After, reading.Stamp.Change.NotAfter);

    private static Instant At(int ticks) => Instant.Start + (_tick * ticks);
}
