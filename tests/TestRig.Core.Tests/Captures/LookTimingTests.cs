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
    public void Far_from_everything_a_change_lies_within_one_look_and_its_skew() =>
        Assert.Equal([new(5500 - 40 - 8, 5500)], Looks.Intervals([5500], [], []).ToArray());

    [Fact]
    public void Soon_after_a_record_it_lies_after_that_record() =>
        Assert.Equal(new(5500 - 8, 5600), Looks.Intervals([5500, 5600], [], [])[1]);

    [Fact]
    public void The_longest_pause_after_a_record_is_a_look_and_its_extras()
    {
        Assert.Equal(new(5500 - 8, 5618), Looks.Intervals([5500, 5618], [], [])[1]);
        Assert.Equal(new(5619 - 40 - 8, 5619), Looks.Intervals([5500, 5619], [], [])[1]);
    }

    [Fact]
    public void Soon_after_a_step_it_lies_after_that_step() =>
        Assert.Equal([new(5450 - 8, 5500)], Looks.Intervals([5500], [1600, 5450, 5900], []).ToArray());

    [Fact]
    public void A_step_at_the_very_stamp_says_nothing_about_the_look_before() =>
        Assert.Equal([new(5500 - 40 - 8, 5500)], Looks.Intervals([5500], [5500], []).ToArray());

    [Fact]
    public void Where_housekeeping_fell_between_the_looks_the_interval_is_longer()
    {
        Assert.Equal([new(6000 - 70 - 8, 6000)], Looks.Intervals([6000], [], []).ToArray());
        Assert.Equal([new(6069 - 70 - 8, 6069)], Looks.Intervals([6069], [], []).ToArray());
        Assert.Equal([new(6070 - 40 - 8, 6070)], Looks.Intervals([6070], [], []).ToArray());
    }

    [Fact]
    public void A_device_without_housekeeping_has_none() =>
        Assert.Equal([new(6000 - 40 - 8, 6000)], (Looks with { HousekeepingPeriod = 0 }).Intervals([6000], [], []).ToArray());

    [Fact]
    public void The_end_of_a_gap_counts_as_an_instant_at_which_spacing_is_known() =>
        Assert.Equal([new(5450 - 8, 5500)], Looks.Intervals([5500], [], [new(5200, 5450)]).ToArray());

    [Fact]
    public void A_change_seen_first_after_a_gap_may_have_happened_in_it()
    {
        TickGap[] gaps = [new(5200, 5450)];
        var opened = Looks.OpenedOverGaps(Looks.Intervals([5100, 5500, 5600], [], gaps), gaps);
        Assert.Equal(new(5100 - 8, 5500), opened[1]);
        Assert.Equal(new(5500 - 8, 5600), opened[2]);
    }

    [Fact]
    public void Without_a_record_shortly_before_the_gap_the_longest_pause_before_it_is_allowed_for()
    {
        TickGap[] gaps = [new(5200, 5450)];
        Assert.Equal([new(5200 - 118 - 8, 5500)], Looks.OpenedOverGaps(Looks.Intervals([5500], [], gaps), gaps).ToArray());
    }

    [Fact]
    public void A_change_seen_later_than_the_first_look_after_a_gap_is_not_opened()
    {
        TickGap[] gaps = [new(5200, 5450)];
        var intervals = Looks.Intervals([5569], [], gaps);
        Assert.Equal(intervals.ToArray(), Looks.OpenedOverGaps(intervals, gaps).ToArray());
    }

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
            return intervals.Zip(truths).All(pair => pair.First.After < pair.Second && pair.Second <= pair.First.NotAfter);
        });
}
