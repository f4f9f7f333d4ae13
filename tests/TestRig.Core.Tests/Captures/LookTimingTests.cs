using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Captures;

/// <summary>The rule of firmware-notes/link-protocol.md, section 9, with L = 40, S = 8, D = 48, H = 30 and housekeeping every 1000 ticks.</summary>
public class LookTimingTests
{
    private static readonly LookTiming Looks = new(Look: 40, Skew: 8, Record: 48, Housekeeping: 30, HousekeepingPeriod: 1000);

    [Fact]
    public void The_first_look_tells_levels_and_no_change() => Assert.Empty(Looks.Intervals([100], [], []));

    [Fact]
    public void Far_from_everything_a_change_lies_within_one_look_and_its_skew() =>
        Assert.Equal(new(5500 - 40 - 8, 5500), After(100, [5500]));

    [Fact]
    public void Soon_after_a_record_it_lies_after_that_record()
    {
        Assert.Equal(new(5500 - 8, 5540), After(100, [5500, 5540]));
        Assert.Equal(new(5500 - 8, 5588), After(100, [5500, 5588]));
        Assert.Equal(new(5589 - 40 - 8, 5589), After(100, [5500, 5589]));
    }

    [Fact]
    public void A_step_may_have_made_the_pause_between_the_looks_longer()
    {
        Assert.Equal(new(5500 - 148 - 8, 5500), After(100, [5500], steps: [1600, 5500, 5900]));
        Assert.Equal(new(5500 - 148 - 8, 5500), After(100, [5500], steps: [5353]));
        Assert.Equal(new(5500 - 40 - 8, 5500), After(100, [5500], steps: [5352]));
    }

    [Fact]
    public void Housekeeping_may_have_made_the_pause_between_the_looks_longer()
    {
        Assert.Equal(new(6000 - 148 - 8, 6000), After(100, [6000]));
        Assert.Equal(new(6147 - 148 - 8, 6147), After(100, [6147]));
        Assert.Equal(new(6148 - 40 - 8, 6148), After(100, [6148]));
    }

    [Fact]
    public void A_device_without_housekeeping_has_none() =>
        Assert.Equal(new(6000 - 40 - 8, 6000), (Looks with { HousekeepingPeriod = 0 }).Intervals([100, 6000], [], [])[^1]);

    [Fact]
    public void A_longer_pause_still_begins_at_the_last_record_at_the_earliest()
    {
        Assert.Equal(new(5400 - 8, 5500), After(100, [5400, 5500], steps: [5380]));
        Assert.Equal(new(5500 - 40 - 8, 5500), After(100, [5400, 5500], steps: [5370]));
    }

    [Fact]
    public void A_change_seen_first_after_a_gap_may_have_happened_anywhere_in_it() =>
        Assert.Equal(new(5200 - 8, 5500), After(100, [5500], gaps: [new(5200, 5450)]));

    [Fact]
    public void A_record_inside_the_gaps_border_is_a_later_bound_than_the_gaps_start() =>
        Assert.Equal(new(5210 - 8, 5500), After(100, [5210, 5500], gaps: [new(5200, 5450)]));

    [Fact]
    public void A_change_seen_later_than_the_first_look_after_a_gap_happened_after_it() =>
        Assert.Equal(new(5600 - 40 - 8, 5600), After(100, [5600], gaps: [new(5200, 5450)]));

    [Fact]
    public void A_pause_that_reaches_back_to_a_gap_reaches_into_it() =>
        Assert.Equal(new(5200 - 8, 5560), After(100, [5560], steps: [5500], gaps: [new(5200, 5450)]));

    [Fact]
    public void Ticks_become_instants_exactly()
    {
        var change = new LookInterval(-8, 1600).To(Level.High, new Duration(62_500));
        Assert.Equal(new Change(new(-500_000), new(100_000_000), Level.High), change);
    }

    /// <summary>
    /// A device that looks as the protocol says is played through: a change made at any instant must lie in the interval that its stamp gives.
    /// </summary>
    [Property(MaxTest = 500)]
    public Property The_true_instant_of_a_change_always_lies_in_its_interval() =>
        Prop.ForAll(Gen.Choose(50, 9_000).ListOf().Select(instants => instants.Distinct().Order().ToArray()).ToArbitrary(), instants =>
        {
            var stamps = new List<long>();
            var truths = new List<long>();
            var toggles = 0;
            for (var (look, before) = (40L, 0L); look < 10_000;)
            {
                var count = instants.Count(instant => instant <= look);
                var pause = 40L;
                if ((count - toggles) % 2 == 1)
                {
                    stamps.Add(look);
                    truths.Add(instants[count - 1]);
                    pause += 48;
                }
                toggles = count;
                before = look;
                look += pause;
                if ((before / 1000) != (look / 1000))
                    look += 30;
            }
            var intervals = Looks.Intervals([.. stamps], [], []);
            return intervals.Zip(truths.Skip(1)).All(pair => pair.First.After < pair.Second && pair.Second <= pair.First.NotAfter);
        });

    private static LookInterval After(long start, long[] stamps, long[]? steps = null, TickGap[]? gaps = null) =>
        Looks.Intervals([start, .. stamps], steps ?? [], gaps ?? [])[^1];
}
