using TestRig.Core.Boards;

namespace TestRig.Core.Tests.Boards;

public sealed class LedAgeingTests
{
    /// <summary>
    /// The worked example of Avago's "Calculate Reliable LED Lifetime Performance in Optocouplers" (AV02-4387EN p. 12): AF 184.7, 184 767 h = 21 years. Its inputs are partly
    /// lost in the copy that was read; 20 mA and 125 °C to 5 mA and 60 °C, N 2, Ea 0.43 eV reproduce the result.
    /// </summary>
    [Fact]
    public void The_published_example_comes_out()
    {
        var test = LedAgeing.PublishedTest;
        Assert.Equal(184.7, LedAgeing.AccelerationFactor(test.Current, test.Celsius, new(5e-3), 60), 0.1);
        Assert.Equal(184_767, LedAgeing.HoursLike(test, new(5e-3), 60), 1.0);
        Assert.Equal(21, LedAgeing.HoursLike(test, new(5e-3), 60) / (365.25 * 24), 0.1);
    }

    [Fact]
    public void An_LED_ages_like_the_test_under_the_conditions_of_the_test() =>
        Assert.Equal(1, LedAgeing.AccelerationFactor(new(0.02), 125, new(0.02), 125), 12);
}
