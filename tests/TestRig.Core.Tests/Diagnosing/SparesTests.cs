using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Diagnosing;

/// <summary>What to order, of an invented board with three channels: isolators OK1 to OK3, drivers Q1 to Q3, and U3 and U4 in all of them.</summary>
public class SparesTests
{
    private static readonly Board _board = Some.BoardOf(3);

    [Fact]
    public void A_dead_part_is_one_of_its_type_and_two_of_a_type_are_added_up()
    {
        var spares = Of(Fault("OK3"), Fault("Q1"), Fault("OK1"));
        Assert.Equal(["2 isolator OK3 OK1", "1 driver Q1"], spares.Now.Select(need => Text(Assert.Single(need.OneOf))));
    }

    [Fact]
    public void Two_sections_of_one_package_are_one_package() =>
        Assert.Equal(["1 inverting buffer U3"], Of(Fault("U3"), Fault("U3")).Now.Select(need => Text(Assert.Single(need.OneOf))));

    [Fact]
    public void Of_parts_that_nothing_tells_apart_one_is_needed_by_type()
    {
        var need = Assert.Single(Of(Fault("OK3", "Q3", "OK2")).Now);
        Assert.Equal(["1 isolator OK3 OK2", "1 driver Q3"], need.OneOf.Select(Text));
        Assert.Empty(need.Unless);
    }

    [Theory]
    [InlineData("lead at U3.16")]
    [InlineData("supply isolated")]
    [InlineData("bridge between U3.18 and U3.16")]
    public void What_is_no_part_is_no_spare(string item)
    {
        Assert.True(Of(Fault(item)).IsEmpty);
        // It is looked at first where it is the more probable, and told of where it is not.
        Assert.True(Of(Fault(item, "U3")).IsEmpty);
        Assert.Equal(item, Assert.Single(Assert.Single(Of(Fault("U3", item)).Now).Unless));
    }

    [Fact]
    public void Without_a_fault_nothing_is_ordered_however_near_to_a_limit() => Assert.True(Spares.Of(_board, [With(Delay(2, 204))], Diagnosis.None).IsEmpty);

    // The invented isolator goes off 105 µs after its LED, typically; twice that is the latest (DelayLimits.LatestOverTypical): 210 µs, and a tenth below it is 189 µs.
    [Theory]
    [InlineData(204, true)]
    [InlineData(189, true)]
    [InlineData(188, false)]
    [InlineData(105, false)]
    public void A_part_of_the_same_type_that_is_late_by_nine_tenths_of_what_is_permitted_is_marginal(int microseconds, bool marginal)
    {
        var spares = Spares.Of(_board, [With(Delay(2, microseconds))], Found(Fault("OK3")));
        Assert.Equal(marginal ? ["OK1"] : [], spares.Marginal.Select(part => part.Part));
        Assert.Equal(marginal ? ["1 isolator OK1"] : [], spares.InReserve.Select(Text));
        Assert.Equal(("isolator", 1), Assert.Single(spares.OthersOfType));
    }

    [Fact]
    public void Only_what_has_failed_makes_its_type_suspect() => Assert.Empty(Spares.Of(_board, [With(Delay(2, 204))], Found(Fault("Q3"))).Marginal);

    [Fact]
    public void A_part_that_is_replaced_anyway_is_not_kept_in_reserve_too() => Assert.Empty(Spares.Of(_board, [With(Delay(2, 204))], Found(Fault("OK1"))).Marginal);

    [Fact]
    public void A_delay_that_is_counted_across_two_stages_or_that_the_adapter_hardly_tells_is_no_margin_of_a_part()
    {
        Assert.Empty(Spares.Of(_board, [With(Delay(2, 204) with { Cause = "U3.18" })], Found(Fault("OK3"))).Marginal);
        // ±30 µs of 210 µs is more than the tenth that makes the difference.
        Assert.Empty(Spares.Of(_board, [With(Delay(2, 204, guard: 30))], Found(Fault("OK3"))).Marginal);
    }

    // LED: (5 − 1.15) V / 220 ohm = 17.5 mA with nothing left at the cathode, less 0.4 V of the buffer in front: (5 − 1.15 − 0.4) / 220 = 15.682 mA.
    // 3 V at a collector with 10 kohm to 12 V: 9 V / 10 kohm = 0.9 mA, so 0.9 / 15.682 = 5.7 %; its sheet promises 20 %. At 0.3 V it is saturated (0.5 V at most), which says only "at least".
    [Theory]
    [InlineData(3.0, "a transfer ratio of 5.7 %")]
    [InlineData(0.3, null)]
    public void An_isolator_that_does_not_saturate_below_the_ratio_of_its_sheet_is_marginal(double volts, string? words)
    {
        var spares = Spares.Of(_board, [With(Level(2, Expectation.LowLevel, volts))], Found(Fault("OK3")));
        Assert.Equal(words is null ? 0 : 1, spares.Marginal.Length);
        Assert.All(spares.Marginal, part => Assert.Contains(words!, part.Words, StringComparison.Ordinal));
    }

    // TTL: low to 0.8 V, high from 2.0 V (FAQ 4902 quoting TI SN74ALS1004); a tenth of the 1.2 V between is 0.12 V: above 0.68 V and below 2.12 V is near.
    [Theory]
    [InlineData(Expectation.LowLevel, 0.70, true)]
    [InlineData(Expectation.LowLevel, 0.66, false)]
    [InlineData(Expectation.HighLevel, 2.10, true)]
    [InlineData(Expectation.HighLevel, 2.14, false)]
    public void A_level_near_to_what_the_receiver_needs_is_marginal(Expectation expected, double volts, bool marginal) =>
        Assert.Equal(marginal ? ["U3"] : [], Spares.Of(_board, [With(Level(0, expected, volts))], Found(Fault("U4"))).Marginal.Select(part => part.Part));

    [Fact]
    public void What_was_not_measured_is_not_counted_as_measured() =>
        Assert.Equal(("isolator", 0), Assert.Single(Spares.Of(_board, [With(Delay(2, 105) with { Verdict = Verdict.NotTested })], Found(Fault("OK3"))).OthersOfType));

    private static Spares Of(params Fault[] faults) => Spares.Of(_board, [], Found(faults));

    private static Diagnosis Found(params Fault[] faults) => new([.. faults], null, []);

    private static Fault Fault(params string[] group) => new([], [new([.. group], FaultMode.Dead, "invented", 0.9, [])], "");

    private static string Text(Spare spare) => $"{spare.Count} {spare.Type} {string.Join(' ', spare.Parts)}";

    private static ChannelResult With(params Finding[] findings) => new(_board.Channels[0], Condition.Working, [.. findings], null, [], null, "invented");

    /// <summary>The output of a stage of channel 1 that goes off so much after the point in front, known to that guard in microseconds.</summary>
    private static Finding Delay(int stage, int microseconds, int guard = 1)
    {
        var (channel, delay) = (_board.Channels[0], Duration.FromMicroseconds(microseconds));
        return new(
            channel.Stages[stage].OutputName, stage, Expectation.Rises, Verdict.Conforms, Timing.Conforms, channel.Stages[stage - 1].OutputName, null, null, delay,
            Duration.Zero, channel.Stages[stage].Rise.Latest, null, 0, null, null, "invented")
        { Measured = new(delay, Duration.Zero, Duration.Zero, Duration.FromMicroseconds(guard)) };
    }

    private static Finding Level(int stage, Expectation expected, double volts)
    {
        var name = _board.Channels[0].Stages[stage].OutputName;
        return new(name, stage, expected, Verdict.Conforms, null, null, null, null, null, null, null, null, 0, null, new(volts), "invented")
        { Reading = new LevelReading(name, Instant.Start, new(volts), new(volts), new(volts), 16, new(0.01)) };
    }
}
