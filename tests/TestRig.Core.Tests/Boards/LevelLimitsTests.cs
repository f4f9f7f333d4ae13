using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

public sealed class LevelLimitsTests
{
    /// <summary>TTL: VIL 0.8 V, VIH 2.0 V (Tokyo Electron Device FAQ 4902 quoting TI SN74ALS1004, January 1995); 0.8 to 2.0 V is undefined.</summary>
    [Theory]
    [InlineData(0.0, LevelClass.Low)]
    [InlineData(0.4, LevelClass.Low)]
    [InlineData(0.8, LevelClass.Low)]
    [InlineData(0.81, LevelClass.Undefined)]
    [InlineData(1.4, LevelClass.Undefined)]
    [InlineData(1.99, LevelClass.Undefined)]
    [InlineData(2.0, LevelClass.High)]
    [InlineData(2.4, LevelClass.High)]
    [InlineData(5.0, LevelClass.High)]
    public void TTL_voltages_are_low_undefined_or_high(double volts, LevelClass expected) =>
        Assert.Equal(expected, LevelLimits.Ttl.Classify(new(volts)));

    /// <summary>VOH 2.4 V minimum and VOL 0.4 V maximum (FAQ 4902) leave 0.4 V each; TI SDLS144B gives 400 mV for LS24x.</summary>
    [Fact]
    public void TTL_has_a_noise_margin_of_four_tenths_of_a_volt_each_way()
    {
        Assert.Equal(0.4, 2.4 - LevelLimits.Ttl.HighMinimum.Value, 9);
        Assert.Equal(0.4, LevelLimits.Ttl.LowMaximum.Value - 0.4, 9);
    }

    /// <summary>0.3 and 0.7 of the supply: FAQ 4902 quoting JEITA ED-5007 (April 2010).</summary>
    [Fact]
    public void CMOS_limits_are_three_and_seven_tenths_of_the_supply()
    {
        var limits = LevelLimits.OfSupply(new(12));
        Assert.Equal(3.6, limits.LowMaximum.Value, 9);
        Assert.Equal(8.4, limits.HighMinimum.Value, 9);
    }
}
