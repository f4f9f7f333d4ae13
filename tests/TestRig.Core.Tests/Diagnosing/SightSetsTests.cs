using TestRig.Core.Captures;
using TestRig.Core.Diagnosing;
using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Core.Tests.Diagnosing;

/// <summary>What a digital input says of a point says little where the voltage is neither low nor high. Outcomes of a trace: 0 stays low, 7 stays high, 5 goes low and comes back (a bit each before, during, after).</summary>
public class SightSetsTests
{
    private const int StaysLow = 0, GoesLow = 5, StaysHigh = 7;

    private static Seen Trace(string channel, string point, int outcome) => new(new(channel, point, SightKind.Trace), outcome);

    private static Seen Undefined(string channel, string point, SightKind kind) => new(new(channel, point, kind), ChannelSights.UndefinedVoltage);

    private static uint Of(Sight sight, params Seen[] seen) => SightSets.Of(seen)[sight];

    [Fact]
    public void A_defined_level_is_what_it_is() => Assert.Equal(1u << StaysHigh, Of(new("b", "OK1.5", SightKind.Trace), Trace("b", "OK1.5", StaysHigh)));

    [Fact]
    public void A_voltage_that_is_undefined_while_its_line_is_off_may_read_as_either_while_another_is_on()
    {
        Seen[] seen = [Trace("a", "OK1.5", GoesLow), Undefined("a", "OK1.5", SightKind.VoltageOff), Trace("b", "OK1.5", StaysHigh), Trace("b", "OK2.5", StaysHigh), new(Sight.Beside("OK1.5", SightKind.Idle), 1)];
        Assert.Equal((1u << StaysLow) | (1u << StaysHigh), Of(new("b", "OK1.5", SightKind.Trace), seen));
        Assert.Equal(Forecast.Anything, Of(Sight.Beside("OK1.5", SightKind.Idle), seen));
        Assert.Equal(1u << StaysHigh, Of(new("b", "OK2.5", SightKind.Trace), seen));
    }

    [Fact]
    public void A_voltage_that_is_undefined_while_commanded_says_nothing_of_other_exercises()
    {
        Seen[] seen = [Trace("a", "OK1.5", GoesLow), Undefined("a", "OK1.5", SightKind.VoltageOn), Trace("b", "OK1.5", StaysHigh)];
        Assert.Equal(1u << StaysHigh, Of(new("b", "OK1.5", SightKind.Trace), seen));
        Assert.NotEqual(0u, Of(new("a", "OK1.5", SightKind.Trace), seen) & (1u << StaysHigh));
    }

    [Fact]
    public void A_lead_that_follows_its_pin_may_stay_at_either_level()
    {
        Seen[] seen = [new(Sight.Beside("U3.18", SightKind.Lead), ChannelSights.FollowingLead), Trace("a", "U3.18", StaysLow)];
        Assert.Equal((1u << StaysLow) | (1u << StaysHigh), Of(new("a", "U3.18", SightKind.Trace), seen));
    }

    /// <summary>Half of 5 V, behind a divider, is where an input with hysteresis keeps what it read last.</summary>
    [Fact]
    public void The_level_that_a_supply_reads_at_its_divider_tells_nothing_while_it_stays()
    {
        var sensed = Some.Point("LOGIC", "A9");
        var board = Some.Board();
        board = board with { Supplies = [.. board.Supplies.Select(supply => supply.Name == "logic" ? supply with { SensedAt = sensed } : supply)], TestPoints = board.TestPoints.Add(sensed) };
        var exercise = Some.Exercise(board.Channels[0]);
        var capture = Some.Capture(exercise, [.. Some.Signals(exercise, Some.GoodDelays), new Signal("LOGIC", TestRig.Core.Quantities.Level.High, [])]);
        var seen = ChannelSights.Of(board, Some.Judge(board, exercise, capture)).Single(one => one.Sight is { Point: "LOGIC", Kind: SightKind.Trace });
        Assert.Equal((1u << StaysLow) | (1u << StaysHigh), seen.Possible);
    }
}
