using TestRig.Core.Trials;

namespace TestRig.Core.Tests.Trials;

/// <summary>Expected values: Ohm's law and the law of propagation, by hand.</summary>
public class SocketFiguresTests
{
    private static SocketFigures Of(SocketReadings readings, double empty = 0, double tolerance = 0.01, double? hold = null) =>
        SocketFigures.Of(SomeSocket.With(tolerance, hold), readings, SomeSocket.Reading(empty), SomeSocket.Type);

    /// <summary>2.00 V / 200 ohm = 10 mA; 0.7 V / 100 ohm + 0.9 V / 1 Mohm = 7.0009 mA: 70.009 %. VF 3.40 − 2.25 V.</summary>
    [Fact]
    public void Currents_are_drops_over_known_resistors()
    {
        var figures = Of(SomeSocket.Readings(0.7, uncertainty: 0));
        Assert.Equal(0.01, figures.LedCurrent.Value, 9);
        Assert.Equal(0.70009, figures.TransferRatio!.Value, 9);
        Assert.Equal(1.15, figures.LedForward!.Value, 9);
        Assert.False(figures.TransferRatio.AtLeast);
    }

    /// <summary>Two resistors of ±1 %, uniform: 0.70009 × √2 × 0.01/√3 = 0.0057162.</summary>
    [Fact]
    public void The_resistors_alone_leave_their_tolerances() => Assert.Equal(0.0057162, Of(SomeSocket.Readings(0.7, uncertainty: 0)).TransferRatio!.StandardUncertainty, 6);

    /// <summary>5 mV at each of four readings: of the LED current √2 × 5 mV / 2 V = 0.35355 %, of the collector's √2 × 5 mV / 100 ohm / 10 mA = 0.0070711; joined √(0.0070711² + (0.70009 × 0.0035355)²) = 0.0074920.</summary>
    [Fact]
    public void Readings_join_in_quadrature() => Assert.Equal(0.0074920, Of(SomeSocket.Readings(0.7), tolerance: 0).TransferRatio!.StandardUncertainty, 6);

    /// <summary>A reference 3 % off moves every voltage alike: 3 % of a current and of the forward voltage, nothing of a ratio.</summary>
    [Fact]
    public void What_the_readings_share_leaves_the_ratio_and_stays_in_currents_and_voltages()
    {
        var figures = Of(SomeSocket.Readings(0.7, uncertainty: 0, shared: 0.03), tolerance: 0);
        Assert.Equal(0, figures.TransferRatio!.StandardUncertainty, 9);
        Assert.Equal(0.0003, figures.LedCurrent.StandardUncertainty, 9);
        Assert.Equal(0.0345, figures.LedForward!.StandardUncertainty, 9);
    }

    /// <summary>2.75 V over 10 kohm send 0.275 mA through the lead beside the LED's current: 9.725 mA are left; 7.0009 / 9.725 = 71.989 %.</summary>
    [Fact]
    public void What_holds_the_line_idle_is_no_LED_current()
    {
        var figures = Of(SomeSocket.Readings(0.7, uncertainty: 0), hold: 10_000);
        Assert.Equal(0.009725, figures.LedCurrent.Value, 9);
        Assert.Equal(0.71989, figures.TransferRatio!.Value, 5);
    }

    /// <summary>31 mV dark, 11 mV of them there with the socket empty: 20 nA over 1 Mohm. A fifth of the 11 mV may have come since, uniform: 2.2 mV / √3 = 1.27 nA; the resistor 0.115 nA.</summary>
    [Fact]
    public void What_the_empty_socket_shows_is_no_leakage_of_the_part()
    {
        var leakage = Of(SomeSocket.Readings(0.7, dark: 0.031, uncertainty: 0), empty: 0.011).Leakage;
        Assert.Equal(20e-9, leakage.Value, 12);
        Assert.Equal(1.275e-9, leakage.StandardUncertainty, 12);
    }

    /// <summary>The supply may be 4.75 V, and VCE(sat) 0.5 V: from 4.25 V at the emitter on nothing tells more current.</summary>
    [Theory]
    [InlineData(4.0, false)]
    [InlineData(4.1, true)]
    public void A_saturated_part_has_at_least_that_ratio(double ratio, bool atLeast) => Assert.Equal(atLeast, Of(SomeSocket.Readings(ratio, uncertainty: 0)).TransferRatio!.AtLeast);

    [Fact]
    public void Without_LED_current_there_is_no_ratio()
    {
        var readings = SomeSocket.Readings(0.7);
        var figures = Of(readings with { Lit = readings.Lit with { Cathode = SomeSocket.Reading(0.26) } });
        Assert.Equal((false, null, null), (figures.IsLit, figures.TransferRatio, figures.LedForward));
    }
}
