using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;

namespace TestRig.Bench.Tests.Soaking;

public class SoakTallyTests
{
    private static SoakTally Tally(IEnumerable<CycleRecord> cycles)
    {
        var tally = new SoakTally(Cycles.Started);
        foreach (var cycle in cycles)
            tally.Add(cycle);
        return tally;
    }

    [Fact]
    public void A_channel_that_fails_now_and_then_is_intermittent_with_exact_bounds()
    {
        var tally = Tally(Cycles.Many(20, cycle => cycle is 7 or 19 ? Condition.Dead : Condition.Working));
        var channel = tally.Channels[0];
        Assert.Equal(("one", 20, 2, 7, 19), (channel.Channel, channel.Judged, channel.Failures, channel.FirstFailure, channel.LastFailure));
        Assert.True(channel.IsIntermittent);
        Assert.Equal("Dead it is.", channel.FirstWords);
        Assert.Equal((20, 2), (tally.Cycles, tally.FailingCycles));
        // Clopper and Pearson, 2 of 20, 95 %: (0.01235, 0.31698), standard table.
        Assert.Equal(0.01235, channel.FailureShare!.Value.Lower, 5);
        Assert.Equal(0.31698, channel.FailureShare.Value.Upper, 5);
        Assert.False(tally.Channels[1].IsIntermittent);
    }

    [Fact]
    public void What_could_not_be_tested_is_neither_good_nor_bad()
    {
        var channel = Tally(Cycles.Many(10, cycle => cycle > 6 ? Condition.NotTested : Condition.Working)).Channels[0];
        Assert.Equal((6, 0, 4), (channel.Judged, channel.Failures, channel.NotTested));
        Assert.Null(Tally(Cycles.Many(3, _ => Condition.NotTested)).Channels[0].FailureShare);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    public void No_cycle_is_counted_twice_or_left_out(long next)
    {
        var tally = Tally(Cycles.Many(1, _ => Condition.Working));
        Assert.Throws<ArgumentException>(() => tally.Add(Cycles.Of(next)));
        Assert.Equal(1, tally.Cycles);
    }

    /// <summary>The published failure times (Modarres et al., example 5.11, by the docs of "reliability" for Python): U = 2.409, of failures that end with the time, where the last one is not counted. Here an hour is a cycle, and a failure is known to its cycle.</summary>
    [Fact]
    public void Failures_that_come_closer_together_are_a_trend()
    {
        int[] between = [104, 131, 1597, 59, 4, 503, 157, 6, 118, 173, 114, 62, 101, 216, 106, 140, 1, 102, 3, 393, 96, 232, 89, 61, 37, 293, 7, 165, 87, 99];
        var failing = between.Select((_, index) => (long)between[..(index + 1)].Sum()).ToHashSet();
        var last = failing.Max();
        var tally = Tally(Enumerable.Range(1, (int)last).Select(number => Cycles.Of(number, failing.Contains(number) && number < last ? Condition.Dead : Condition.Working)));
        Assert.Equal(29, tally.Channels[0].Failures);
        Assert.Equal(2.409, tally.Channels[0].Clustering!.Deviate, 2);
    }

    /// <summary>A channel that always fails fails no more often at the end, however late the first cycle was, and however long the rests between the later ones were.</summary>
    [Fact]
    public void What_always_fails_has_no_trend() => Assert.Equal(0, Tally(Cycles.Many(20, _ => Condition.Dead)).Channels[0].Clustering!.Deviate, 12);

    [Fact]
    public void A_delay_that_creeps_to_its_limit_is_a_drift_with_the_time_when_it_gets_there()
    {
        // From 5 µs on, 0.02 µs an hour, with a saw-tooth of 0.3 µs that has no trend: 25 µs after 1000 h.
        var tally = Tally(Enumerable.Range(1, 5000).Select(number => Cycles.Of(number, delay: 5_000_000 + (number * 200L) + (number % 7 * 50_000L) - 150_000)));
        var drift = Assert.Single(Drift.Of(tally));
        Assert.Equal(Cycles.Delay, drift.Series.Key);
        Assert.True(drift.CrossesUpper);
        Assert.Equal(20_000, drift.Trend.Line.Slope, 200d);
        Assert.InRange(drift.Crossing!.At, 990, 1010);
        Assert.InRange(drift.Crossing.Earliest, 900, drift.Crossing.At);
    }

    [Fact]
    public void A_delay_that_only_scatters_is_no_drift()
    {
        var noise = new Random(3);
        Assert.Empty(Drift.Of(Tally(Enumerable.Range(1, 5000).Select(number => Cycles.Of(number, delay: 5_000_000 + noise.Next(1_000_000))))));
    }

    [Fact]
    public void The_worst_value_is_known_with_its_cycle_and_by_its_limits()
    {
        var series = Assert.Single(Tally(Enumerable.Range(1, 100).Select(number => Cycles.Of(number, delay: number == 42 ? 20_000_000 : 12_500_000))).Series);
        Assert.Equal((12_500_000, 20_000_000, 42), (series.Least, series.Most, series.MostIn));
        Assert.Equal(20.0 / 25, series.Strain!.Value, 12);
    }

    /// <summary>A level that must not be below 2 V and one between 1 V and 3 V.</summary>
    [Theory]
    [InlineData(2_000_000L, null, 2_500_000L, 0.8)]
    [InlineData(1_000_000L, 3_000_000L, 2_500_000L, 0.5)]
    [InlineData(1_000_000L, 3_000_000L, 500_000L, 1.5)]
    [InlineData(null, null, 5L, null)]
    public void How_near_a_value_comes_to_its_limits_is_told_on_every_side(long? lowest, long? highest, long value, double? strain)
    {
        var cycle = Cycles.Of(1) with { Figures = [new(Cycles.Delay with { Kind = FigureKind.Level }, value, lowest, highest)] };
        Assert.Equal(strain, Assert.Single(Tally([cycle]).Series).Strain);
    }

    [Fact]
    public void A_clock_that_is_set_back_stops_nothing()
    {
        var tally = Tally([Cycles.Of(1, delay: 1), Cycles.Of(2, delay: 2), Cycles.Of(3, delay: 3, at: Cycles.Started - TimeSpan.FromDays(1)), Cycles.Of(4, delay: 4, at: Cycles.StartOf(4))]);
        Assert.Equal(4, tally.Cycles);
        Assert.Equal(4, tally.Series.Single().Count);
        Assert.Equal(4 * Cycles.Each, tally.Exercised);
    }

    /// <summary>A hundred cycles to the hour, from 18:00 on.</summary>
    [Theory]
    [InlineData(1400, 301, true)]
    [InlineData(90, 1, false)]
    public void Failures_of_one_hour_are_told_where_others_were_measured_too(int cycles, int firstFailing, bool told)
    {
        var tally = Tally(Cycles.Many(cycles, cycle => cycle >= firstFailing && cycle < firstFailing + 20 ? Condition.Dead : Condition.Working));
        var words = SoakWords.Of(tally.Channels[0]);
        Assert.Equal(told, words.Contains("20 of them between 21:00 and 22:00", StringComparison.Ordinal));
        Assert.Equal(told, words.Contains("between", StringComparison.Ordinal));
    }
}
